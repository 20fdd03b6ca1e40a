"""How a document looks as a PDF: a printed report, black on white, serif, rules instead of boxes.

Written in typst: functions of texts, which `as_typst` calls. Nothing here is said to the reader.
"""

STYLE = r"""
#let quiet = luma(30%)
#let hair = 0.4pt + luma(80%)
#let line-of = 0.7pt + black
#let gap = 10pt
#let long = 50 // rows of a table that surely take more than half a page, whatever the letters
#let sizes = (9.5pt, 9pt, 8.5pt, 8pt, 7.5pt, 7pt, 6.5pt, 6pt)

// The first that fits, else the last. None is looked at that need not be: whatever is measured is set, and Typst keeps it.
#let first-that(tried, fits) = {
  for each in tried {
    if fits(each) { return each }
  }
  tried.last()
}

// As first-that, of things of which all that come after one that fits do so too.
#let first-halving(tried, fits) = {
  let (low, high) = (0, tried.len() - 1)
  if fits(tried.first()) { high = 0 }
  while low < high {
    let middle = calc.quo(low + high, 2)
    if fits(tried.at(middle)) { high = middle } else { low = middle + 1 }
  }
  tried.at(low)
}

// What is not much longer than half a page is kept on one. Of what is surely longer the height need not be found, for which
// all of it would be set once more.
#let whole(body, is-long: false) = if is-long { block(body) } else { layout(room => {
  let height = measure(body, width: room.width).height
  block(breakable: height > 0.55 * room.height, body)
}) }

#let words(said) = par(said)
#let lead(said) = block(sticky: true, par(said))
#let small(said) = text(size: 8.5pt, fill: quiet, par(said))
#let strong-words(said) = block(above: 14pt, below: 12pt, text(size: 11.5pt, par(strong(said))))
#let list-of(..rows) = list(..rows)
#let numbered(..rows) = enum(..rows)

// Terms on the left, what is said of each on the right; a term too long for its column has a line of its own.
#let pairs(..rows) = layout(room => {
  let widths = rows.pos().map(row => measure(strong(row.at(0))).width)
  let most = 0.28 * room.width
  let fitting = widths.filter(width => width <= most)
  let column = if fitting.len() > 0 { calc.max(..fitting) } else { 2em.to-absolute() }
  let told = rows.pos().zip(widths).map(((row, width)) => {
    if width <= column { terms.item(box(width: column, row.at(0)), row.at(1)) }
    else { terms.item(row.at(0), linebreak() + row.at(1)) }
  })
  terms(hanging-indent: column + 14pt, separator: h(14pt, weak: true), spacing: 8pt, ..told)
})

// Of every column the widest of some texts.
#let widths-of(columns, size) = columns.map(column => {
  calc.max(..column.map(cell => measure(text(size: size, number-width: "tabular", cell)).width))
})

// The largest letters with which the longest word of every column has room.
#let size-in(room, longest) = {
  first-that(sizes, size => widths-of(longest, size).sum() <= room)
}

// How wide columns are: as their cells ask; where there is not so much room, each has that of its longest word or figure,
// and what is left is shared out by what most of its cells ask for beyond.
#let columns-in(room, size, longest, fullest, common) = {
  let least = widths-of(longest, size)
  let wished(texts) = widths-of(texts, size).zip(least).map(((wish, word)) => calc.max(wish, word))
  let all = wished(fullest)
  if all.sum() <= room { return all }
  if least.sum() >= room { return least.map(width => width * (room / least.sum())) }
  let most = wished(common)
  // What most of them ask for has room, and something is left: those with longer cells have it.
  let (from, to) = if most.sum() <= room { (most, all) } else { (least, most) }
  let part = (room - from.sum()) / (to.sum() - from.sum())
  from.zip(to).map(((less, more)) => less + part * (more - less))
}

#let head-of(head, unit) = if unit == "" { head } else { head + linebreak() + text(size: 0.88em, fill: quiet, unit) }

// A table within so much room; is-full: its first column takes what the others leave; most: the largest letters it may have.
#let table-in(room, told, is-full, most: sizes.first(), inset: 2.6pt) = {
  let (caption, heads, units, longest, fullest, common, rows, summed) = told
  let last = rows.len()
  let columns = heads.len()
  let free = room - gap * (columns - 1)
  let size = calc.min(most, size-in(free, longest))
  let widths = columns-in(free, size, longest, fullest, common).enumerate().map(((x, width)) => {
    if x == columns - 1 { width } else { width + gap }
  })
  set text(size: size)
  figure(
    kind: table,
    caption: caption,
    table(
      columns: if is-full { (1fr, ..widths.slice(1)) } else { widths },
      inset: (x, y) => (left: 0pt, right: if x == columns - 1 { 0pt } else { gap }, top: inset, bottom: inset),
      align: (x, y) => (if units.at(x) == "" { left } else { right }) + (if y == 0 { bottom } else { top }),
      stroke: (x, y) => (
        top: if y < 2 or (summed and y == last) { line-of } else { hair },
        bottom: if y == 0 or y == last { line-of },
      ),
      table.header(..heads.zip(units).map(((head, unit)) => head-of(head, unit))),
      ..rows.flatten(),
    ),
  )
}

#let sheet-in(room, told, is-full: false) = {
  table-in(room, told, is-full)
  if told.below != "" { block(above: 5pt, text(size: 8pt, fill: quiet, par(told.below))) }
}

#let sheet(told) = whole(is-long: told.rows.len() > long, layout(room => sheet-in(room.width, told)))

// A long list to look something up in: small letters, little air.
#let dense-sheet(told) = whole(layout(room => {
  table-in(room.width, told, false, most: 7.5pt, inset: 1.7pt)
  if told.below != "" { block(above: 5pt, text(size: 8pt, fill: quiet, par(told.below))) }
}))

#let side(..both) = whole(grid(
  columns: (1fr, 1fr), column-gutter: 22pt,
  ..both.pos().map(told => layout(room => sheet-in(room.width, told, is-full: true))),
))

#let picture(file, instead, heading, sees) = layout(room => {
  let drawn = image(file, width: 100%, alt: instead)
  let most = 0.75 * room.height
  let shown = if measure(drawn, width: room.width).height <= most { drawn } else { image(file, height: most, alt: instead) }
  figure(kind: image, shown, caption: emph(heading) + " " + sees)
})

// What is left of the page, and in it all letters and gaps so much smaller, alike, that everything has room.
#let one-page(body) = {
  block(height: 1fr, width: 100%, layout(room => {
    let shown(part) = block(width: room.width / part, body)
    let parts = range(100, 38, step: -2).map(part => part / 100)
    let part = first-halving(parts, part => measure(shown(part)).height * part <= room.height)
    if part == 1 { body } else { scale(x: part * 100%, y: part * 100%, origin: top + left, reflow: true, shown(part)) }
  }))
  pagebreak(weak: true)
}

#let chapters() = block(above: 16pt, below: 14pt, outline(title: none, depth: 1))

#let on-its-side(body) = page(flipped: true, body)

#let across(mark) = if mark != "" {
  context {
    let wide = measure(text(size: 100pt, weight: "bold", mark)).width
    let size = calc.min(120pt, 100pt * (470pt / wide))
    rotate(-52deg, text(size: size, weight: "bold", fill: luma(91%), mark))
  }
}

// As much of a text as has room on one line, "…" where some is missing.
#let on-one-line(room, said) = {
  if measure(said).width <= room { said }
  else {
    let letters = said.clusters()
    let shown(many) = letters.slice(0, many).join("").trim(at: end) + "…"
    let fit = range(letters.len() - 1, 0, step: -1).find(many => measure(shown(many)).width <= room)
    if fit == none { "" } else { shown(fit) }
  }
}

// Two texts at the ends of one line; the left one is shortened where there is not room for both.
#let ends(left, right, style: it => it) = layout(room => {
  let gutter = 14pt
  let free = room.width - measure(right).width - gutter
  grid(columns: (1fr, auto), column-gutter: gutter, style(on-one-line(free, left)), right)
})

#let head-line(title, draft) = context if here().page() > 1 {
  set text(size: 8.5pt)
  ends(title, strong(draft), style: emph)
}

#let foot-line(foot) = context {
  set text(size: 8.5pt, fill: quiet)
  let number = str(here().page()) + " of " + str(counter(page).final().first())
  let both = ends(foot, number)
  block(width: 100%, stroke: (top: 0.4pt + luma(60%)), inset: (top: 4pt), both)
}

#let opening(under, draft) = {
  if draft != "" {
    block(width: 100%, below: 10pt, stroke: (top: line-of, bottom: line-of), inset: (y: 5pt), par(strong(draft)))
  }
  title()
  if under != "" { block(above: 6pt, below: 12pt, text(fill: quiet, par(under))) }
}

#let report(name, under, foot, draft, mark, language, region, size, body) = {
  set document(title: name, author: (), date: none)
  set page(
    paper: size, margin: (top: 21mm, bottom: 21mm, x: 20mm), header-ascent: 8mm, footer-descent: 6mm,
    header: head-line(name, draft), footer: foot-line(foot), background: across(mark),
  )
  set text(font: ("Libertinus Serif", "DejaVu Sans"), size: 10.5pt, lang: language, region: region, number-type: "lining")
  set par(leading: 0.58em, spacing: 0.95em, justify: false)
  set table(stroke: none)
  show table: set text(number-width: "tabular")
  show table: set par(leading: 0.45em)
  set figure(numbering: none, supplement: none, gap: 6pt)
  show figure: set align(left)
  show figure: set block(above: 14pt, below: 12pt)
  show figure.where(kind: table): set block(breakable: true)
  show figure.where(kind: table): set figure.caption(position: top)
  show figure.caption: set align(left)
  show figure.caption: set block(sticky: true)
  show figure.where(kind: table): it => { show figure.caption: set text(size: 10pt, style: "italic"); it }
  show std.title: set text(size: 21pt, weight: "regular")
  show heading.where(level: 1): it => block(
    width: 100%, above: 24pt, below: 9pt, sticky: true, stroke: (top: 1.2pt), inset: (top: 7pt),
    text(size: 14.5pt, weight: "regular", it.body),
  )
  show heading.where(level: 2): it => block(above: 16pt, below: 7pt, sticky: true, text(size: 11.5pt, weight: "bold", it.body))
  set list(spacing: 6pt)
  set enum(spacing: 6pt)
  show selector.or(list, enum, terms): set block(above: 11pt, below: 11pt)
  opening(under, draft)
  body
}
"""
