"""What stands on a page beside the numbers: headings, captions, cautions, the end of a report."""
