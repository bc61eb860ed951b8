"""The phone's page: its shell, its worker, labels that open it at a fan."""
