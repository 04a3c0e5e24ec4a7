"""The plain words that screen, PDF and command line share."""
