"""The pages: they ask, show and translate."""

from nextpass.web.app import make_app, serve, serve_desk

__all__ = ["make_app", "serve", "serve_desk"]
