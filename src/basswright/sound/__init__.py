"""How low and how loud?"""
