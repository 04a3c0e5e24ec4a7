"""How single numbers, terms and symbols are written, on every face."""
