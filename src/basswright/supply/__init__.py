"""Can the car feed it?"""
