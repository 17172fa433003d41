"""Which whole system?"""
