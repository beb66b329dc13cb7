"""How much of everything: from bottles wanted back to the oils, and the other way.

Shares are fractions, amounts grams or pieces, unrounded until they are weighed out. A
stage mixes an amount together and gives that amount less its expected loss.
"""
