"""What every part of the API shares: who is asking, how pages go on, how it refuses."""
