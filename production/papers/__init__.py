"""Bytes in and out: sheets, the press, files kept under their digest."""
