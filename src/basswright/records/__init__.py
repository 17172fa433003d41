"""What things are: frozen, strict records without behaviour of their own."""
