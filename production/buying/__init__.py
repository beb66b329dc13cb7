"""Suppliers, purchases, prices, extra costs, and the sheet of purchases."""
