"""The form, made from the catalogue."""
