"""Examines an altering program from outside: drafts trousers, has them altered, and verifies what was written.

Shares no code with the program. Lengths are mm and angles degrees, as far as nothing else is said; a leg is drawn with the
waist up, its fork to the right. The bounds are those that practice asks of an altered crotch seam (common practice, no
source); how far a number can be off because it was written with few decimals is always worked out, never guessed.
"""
