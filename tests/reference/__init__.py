"""A second, independent calculation of everything the program works out: plain, slow, and never importing it.

Finite poses come from closing the links with scipy, speeds from small real moves, the fit from
scipy.optimize.least_squares, spreads from small real moves or from random draws. What the program gives must agree.
Units as in the vehicle file: mm, degree, kg. Axes as in ISO 8855: x forward, y left, z up.
"""
