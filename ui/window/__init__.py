"""The desktop; the only place that imports PySide6."""
