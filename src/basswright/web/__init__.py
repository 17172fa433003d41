"""The job in a browser: parse, call a stage, show."""
