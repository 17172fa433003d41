"""The job in a terminal: parse, call a stage, show."""
