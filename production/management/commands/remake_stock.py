from production.stock.commands import Command

__all__ = ["Command"]
