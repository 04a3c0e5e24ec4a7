"""What the program says word for word, or with values put in by name: one module for each room that speaks.

Nothing is imported here, so that every layer may say these; whatever chooses, counts or orders stands in
``engcalc.words`` above.
"""
