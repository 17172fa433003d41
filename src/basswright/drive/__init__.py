"""Which amplifier?"""
