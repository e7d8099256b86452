"""The version, in one place: the package, its reports and its build read it here."""

__version__ = "0.1.0"
