"""The views of a lesson: an exchanger on a bench with sliders, and problem sheets."""
