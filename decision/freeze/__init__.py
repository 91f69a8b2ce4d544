"""How deep a freeze reaches: a band computed beforehand, never a single figure.

The service asks `lookup`, `raised_lesion`, `pool`, `cryogen` and `cross_section`; these
need the standard library only. `build_table` makes `table.json` and is run by hand, with
numpy and numba: `tissue` and `priors` say what is frozen, `mesh`, `heat_flow`, `kernel`
and `solver` how heat moves, `contact`, `plate` and `bathed` what is done, `contour` what
is read, `table_runs` and `table_statistics` what is kept.

What is computed is temperature. It is not cell death, and it is not safety.
"""
