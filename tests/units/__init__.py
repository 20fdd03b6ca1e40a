"""Growers' quantities, read and shown."""
