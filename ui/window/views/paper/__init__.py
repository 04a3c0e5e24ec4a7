"""The paper view: the pages of the report as they will be printed."""
