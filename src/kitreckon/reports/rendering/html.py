"""One HTML file that shows and prints well on A4 and Letter: no scripts, nothing fetched."""

from __future__ import annotations

from html import escape

from kitreckon.reports.document import (
    Amount,
    Bar,
    Bars,
    Blanks,
    Bullets,
    Caution,
    Cell,
    Document,
    Facts,
    Heading,
    NewPage,
    Paragraph,
    Part,
    Table,
)

_STYLE = """
@page { margin: 15mm 14mm; }
* { box-sizing: border-box; }
body { font: 11pt/1.35 "DejaVu Serif", Georgia, serif; color: #111; background: #fff;
  max-width: 19cm; margin: 1.5em auto; padding: 0 1em; }
h1 { font-size: 1.5em; border-bottom: 2px solid #111; padding-bottom: .2em; }
h2 { font-size: 1.15em; margin: 1.4em 0 .4em; border-bottom: 1px solid #777; break-after: avoid; }
h3 { font-size: 1em; margin: 1em 0 .3em; break-after: avoid; }
table { border-collapse: collapse; width: 100%; font-size: .92em; }
thead { display: table-header-group; }
tr, .caution, svg { break-inside: avoid; }
th, td { text-align: left; vertical-align: top; padding: .2em .5em .2em 0;
  border-bottom: 1px solid #bbb; }
th { border-bottom: 1px solid #111; }
th.right, td.right { text-align: right; white-space: nowrap; padding-right: 1.1em; }
.box { display: inline-block; width: .85em; height: .85em; border: 1px solid #111;
  margin-right: .5em; vertical-align: -.05em; }
td.blank { min-width: 3.5em; border-left: 1px solid #bbb; }
.caution { border: 2px solid #111; padding: .4em .7em; margin: .7em 0; }
.caution b { margin-right: .4em; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: .1em 1.2em; margin: .5em 0; }
dt { font-weight: bold; } dd { margin: 0; }
ul.tick { list-style: none; padding-left: 0; }
.line { display: flex; margin: 1.1em 0; } .line i { flex: 1; border-bottom: 1px solid #111;
  margin-left: .5em; }
.new-page { break-before: page; }
.dense { font-size: 8.5pt; line-height: 1.2; } .dense th, .dense td { padding: .08em .4em .08em 0; }
.dense h2 { margin: .7em 0 .2em; } .dense .line { margin: .8em 0; }
.dense p, .dense ul { margin: .3em 0; }
@media print { body { margin: 0; padding: 0; max-width: none; } }
""".strip()

_LABEL, _SCALE, _ROW = 190, 330, 22
_LONGEST = 26  # letters of a label that fit before its bar


def to_html(document: Document) -> str:
    """Return the document as one whole HTML page."""
    body = "\n".join(_part(part) for part in document.parts)
    kind = ' class="dense"' if document.dense else ""
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        "style-src 'unsafe-inline'\">\n"
        f"<title>{escape(document.title)}</title>\n<style>\n{_STYLE}\n</style>\n</head>\n"
        f"<body{kind}>\n<h1>{escape(document.title)}</h1>\n{body}\n</body>\n</html>\n"
    )


def _part(part: Part) -> str:
    match part:
        case Heading(text, level):
            return f"<h{level}>{escape(text)}</h{level}>"
        case Paragraph(text):
            return f"<p>{escape(text)}</p>"
        case Caution(text, source):
            said = f"{text} ({source})" if source else text
            return f'<div class="caution"><b>Caution.</b>{escape(said)}</div>'
        case Facts(rows):
            return _facts(rows)
        case Bullets(items, tick):
            return _bullets(items, tick)
        case Table():
            return _table(part)
        case Bars():
            return _bars(part)
        case Blanks(labels):
            return "\n".join(
                f'<div class="line"><span>{escape(label)}</span><i></i></div>' for label in labels
            )
        case NewPage():
            return '<div class="new-page"></div>'


def _facts(rows: tuple[tuple[str, str], ...]) -> str:
    inner = "".join(f"<dt>{escape(label)}</dt><dd>{escape(value)}</dd>" for label, value in rows)
    return f"<dl>{inner}</dl>"


def _bullets(items: tuple[str, ...], tick: bool) -> str:
    box = '<span class="box"></span>' if tick else ""
    inner = "\n".join(f"<li>{box}{escape(item)}</li>" for item in items)
    opening = '<ul class="tick">' if tick else "<ul>"
    return f"{opening}\n{inner}\n</ul>"


def _table(table: Table) -> str:
    corner = "<th></th>" if table.tick else ""
    head = corner + "".join(
        f"<th{_side(column.align)}>{escape(column.title)}</th>" for column in table.columns
    )
    box = '<td><span class="box"></span></td>' if table.tick else ""
    rows = []
    for row in table.rows:
        cells = "".join(
            _data(cell, column.align, column.blank)
            for cell, column in zip(row, table.columns, strict=True)
        )
        rows.append(f"<tr>{box}{cells}</tr>")
    inner = "\n".join(rows)
    return f"<table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{inner}\n</tbody>\n</table>"


def _side(align: str) -> str:
    return ' class="right"' if align == "right" else ""


def _data(cell: Cell, align: str, blank: bool) -> str:
    text = escape(cell.shown if isinstance(cell, Amount) else cell)
    if blank and not text:
        return '<td class="blank"></td>'
    return f"<td{_side(align)}>{text}</td>"


def _bars(bars: Bars) -> str:
    most = max((bar.high for bar in bars.bars), default=0.0) or 1.0
    # long labels stand above their bars, whole
    above = any(len(bar.label) > _LONGEST for bar in bars.bars)
    row = 2 * _ROW if above else _ROW
    inner = "\n".join(
        _bar(bar, most, index * row, above=above) for index, bar in enumerate(bars.bars)
    )
    label = escape(bars.title or "Bars")
    title = f"<p>{escape(bars.title)}</p>\n" if bars.title else ""
    width, height = _LABEL + _SCALE + 180, row * len(bars.bars) + 6
    return (
        f'{title}<svg viewBox="0 0 {width} {height}" role="img" aria-label="{label}" '
        f'width="100%" font-size="13">\n{inner}\n</svg>'
    )


def _bar(bar: Bar, most: float, top: int, *, above: bool) -> str:
    figures = (bar.low, bar.typical, bar.high)
    low, typical, high = (_LABEL + _SCALE * min(max(value, 0), most) / most for value in figures)
    middle = top + (_ROW + 13 if above else 13)
    label_at = top + 17
    return (
        f'<text x="0" y="{label_at}">{escape(bar.label)}</text>'
        f'<line x1="{_LABEL}" y1="{middle}" x2="{_LABEL + _SCALE}" y2="{middle}" stroke="#ccc"/>'
        f'<rect x="{low:.1f}" y="{middle - 5}" width="{max(high - low, 1):.1f}" height="10" '
        f'fill="#999"/>'
        f'<rect x="{typical - 1.5:.1f}" y="{middle - 8}" width="3" height="16" fill="#111"/>'
        f'<text x="{_LABEL + _SCALE + 10}" y="{middle + 4}">{escape(bar.shown)}</text>'
    )
