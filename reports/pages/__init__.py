"""The pages of a report, each made from one order."""
