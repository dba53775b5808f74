"""How one person wants things shown."""
