"""The classroom: single problems on the engine's own components, with numbers of their own and the whole working."""
