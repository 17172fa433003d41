"""Does the car do it?"""
