"""How is it set?"""
