"""The documentation as a static site: `python -m waterlint.docs OUT`, from a clone.

The pages are made from the rules' own documentation, the catalogue, and the texts at the root of
the repository. Sphinx builds them (the extra ``docs``), with a theme that loads nothing from
elsewhere.
"""
