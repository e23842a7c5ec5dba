"""The web app. It stores and shows; what it shows is computed by the engine."""
