"""One function per thing a person does to the register; pages, admin, commands call these."""
