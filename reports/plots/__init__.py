"""Pictures as descriptions: what is shown, laid out once, for the screen and the PDF alike."""
