from production.exchange.commands.import_history import Command

__all__ = ["Command"]
