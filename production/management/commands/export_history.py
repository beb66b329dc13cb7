from production.exchange.commands.export_history import Command

__all__ = ["Command"]
