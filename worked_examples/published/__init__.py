"""Published worked examples, each a script that prints the published answer beside Heatdocket's own.

``python -m worked_examples.published`` prints all of them as the table that stands in README.md of this folder.
"""
