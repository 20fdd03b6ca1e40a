"""`farmsim schema`: the JSON schema of farm files, for editors; or the page of all figures, or that of a strain."""

from __future__ import annotations

import json

import click


@click.command(name="schema")
@click.option("--page", is_flag=True, help="Write the reference page of all figures (Markdown) instead.")
@click.option("--strain", metavar="NAME", help="Write the page of one strain of the library (TOML) instead.")
def command(page: bool, strain: str | None) -> None:
    """Write the JSON schema of farm files and change sets (draft 2020-12)."""
    if strain is not None:
        click.echo(_strain(strain), nl=False)
        return
    if page:
        from farmsim.scenario import fields_page

        click.echo(fields_page.page(), nl=False)
        return
    from farmsim.scenario.schema import schema

    click.echo(json.dumps(schema(), indent=1, ensure_ascii=False))


def _strain(like: str) -> str:
    """The page of a strain. Goes wrong when the library has none of this name: the command ends and says so."""
    from farmsim.scenario import strain_page
    from farmsim.scenario.forms import nearest
    from farmsim.scenario.sheet import SHEET

    if like not in SHEET:
        known = list(SHEET)
        mend = nearest(like, known, "Write one of these.")
        raise click.UsageError(f'the library has no "{like}"; needs one of {", ".join(known)}. {mend}')
    return strain_page.page(like)
