"""What the customer's job is: job files, estimates for what was not read, the store."""
