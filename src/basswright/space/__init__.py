"""Does it go in?"""
