"""`farmsim schema`: the JSON schema of farm files, for editors; or the reference page of all figures."""

from __future__ import annotations

import json

import click


@click.command(name="schema")
@click.option("--page", is_flag=True, help="Write the reference page of all figures (Markdown) instead.")
def command(page: bool) -> None:
    """Write the JSON schema of farm files and change sets (draft 2020-12)."""
    if page:
        from farmsim.scenario import fields_page

        click.echo(fields_page.page(), nl=False)
        return
    from farmsim.scenario.schema import schema

    click.echo(json.dumps(schema(), indent=1, ensure_ascii=False))
