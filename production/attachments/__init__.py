"""Certificates and photos beside a lot, a batch or a purchase."""
