"""How deep a freeze reaches: a band computed beforehand, never a single figure.

The service imports `lookup`, `far_side`, `raised_lesion`, `pool`, `cryogen` and
`cross_section`; these need the standard library only. Everything else here (tissue,
priors, mesh, kernel, solver, session, build_table) makes `table.json` and needs numpy and
numba; it is run by hand with `python -m decision.freeze.build_table`.

What is computed is temperature. It is not cell death, and it is not safety.
"""
