"""The as-built sheet: one file that prints on A4 and on letter, holds everything and asks nobody for anything.

paper            the room there is on both papers, scales, the bar that checks the printer
views            three views to scale, bolt centres numbered; dimensions: the lines with their lengths
identity         which vehicle, how measured, its stages and their dates
tables           bolt centres and lengths with their ±
behaviour_part   figures with their meaning, curves, what could not be had
trust_part       doubts and how they were settled, what nobody checked
parts_used       tubes, threads, joints, holes; the bolts to tighten by hand
photos_part      the photos, inside the file
cautions_part    what to mind, and what this sheet is not
marked           the fingerprint and the square code
page             all of it put together
"""
