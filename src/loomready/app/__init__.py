"""The web app: thin. It stores, shows, and asks the floors below."""
