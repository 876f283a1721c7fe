import typer

app = typer.Typer()


@app.command()
def x() -> None: ...
