"""The vocabulary that rules are evaluated in, once for arrays (feeds) and once for scalars (one listing).

`compare`, `culprit` and the checks are written once, over an object of this vocabulary.  Missing is NaN in both;
comparisons with NaN are false in both; `&` and `|` join truth values in both.
"""
