"""Parts put together: coolant flow split, air flow, steady operating point, warm-up."""
