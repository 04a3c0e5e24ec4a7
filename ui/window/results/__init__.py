"""The answer: verdict, pictures, reasons, readings and the table of results."""
