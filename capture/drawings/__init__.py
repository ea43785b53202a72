"""The drawings: the person's own vehicle, true to scale, as inline SVG. Pure functions, no files, no web.

svg            the few words of SVG, numbers to a tenth of a pixel, every text escaped
projection     views (which way one looks) and windows (which part, at what scale)
vehicle        what a drawing knows of the vehicle, from a fit
parts          floor, tyres, axles, rails, brackets, links, points
lit            one reading as drawings see it, and the pieces of a lit dimension
lit_lengths, lit_angles, lit_wholes   the lit dimensions themselves: reach and drawing of each
marks          the list of them: a new one is its two functions and a line in SHAPES
scenes         the walk's drawings: few shared scenes, one lit figure and one key view a reading
shape, board   the shape on the phone and on the bench, every point a link
plan, walktape the walk in plan, its progress as a tape
rule, curve    a figure on its scale, a figure over travel
construction   where the instant centre and the roll centre come from
lens           typed against what fits
thumbnail      small pictures
labels         where lettering finds room
"""
