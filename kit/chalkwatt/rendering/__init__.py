"""Renderings of a plan: NumPy function, browser program, working, numbers.

Every rendering walks the same list of steps and the same ordered trees.
"""
