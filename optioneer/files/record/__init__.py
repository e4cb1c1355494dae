"""How are decisions kept, so that a change of them is seen?"""
