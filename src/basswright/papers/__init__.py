"""What is handed over?"""
