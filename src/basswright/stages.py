"""One function for each thing that a person does: explicit steps, a frozen result."""
