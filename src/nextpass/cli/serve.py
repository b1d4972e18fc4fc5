"""`nextpass serve`: the pages, for the laptop in the van and the phone in the lane."""

from typing import Annotated

import typer

from nextpass.cli.options import BookOption


def serve(
    book: BookOption,
    port: Annotated[int, typer.Option(min=1, max=65535, help="Port to listen on.")] = 8470,
    lan: Annotated[
        bool, typer.Option("--lan", help="Let the phone in the lane in too, by a link that works once.")
    ] = False,
) -> None:
    """Show the book in a browser. Only this machine may look, unless --lan lets others in by a link."""
    # Starting the page library takes two seconds that no other command should pay.
    from nextpass.web import serve as serve_pages

    serve_pages(book, port=port, lan=lan)
