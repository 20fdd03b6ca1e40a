"""How the page looks: like a printed report. One column, black on white, rules instead of boxes, no telling colours."""

STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; text-size-adjust: 100%; }
body { margin: 0 auto; padding: 1.5rem 1.1rem 4rem; max-width: 54rem; background: #fff; color: #1a1a1a;
  font: 1.05rem/1.5 Georgia, "Liberation Serif", "DejaVu Serif", serif; overflow-wrap: break-word; }
h1 { font-size: 2rem; line-height: 1.15; margin: 0 0 .3rem; font-weight: normal; }
h2 { font-size: 1.35rem; line-height: 1.2; margin: 3rem 0 .6rem; padding-top: .7rem; border-top: 2px solid #1a1a1a;
  font-weight: normal; }
figure h3 { position: absolute; width: 1px; height: 1px; margin: 0; overflow: hidden; clip-path: inset(50%);
  white-space: nowrap; }
p { margin: .5rem 0 .8rem; max-width: 42rem; }
.under { color: #444; margin: 0 0 .4rem; }
nav ol { columns: 2; column-gap: 2.5rem; padding-left: 1.4rem; margin: 1rem 0 0; max-width: 42rem; }
a { color: inherit; text-decoration: underline; text-decoration-thickness: 1px; text-underline-offset: .15em; }
.slide { overflow-x: auto; }
pre { margin: 0; font: .84rem/1.36 "DejaVu Sans Mono", "Liberation Mono", Menlo, Consolas, monospace; }
figure { margin: 1.2rem 0 2.2rem; }
figure a { display: block; }
img { display: block; width: 100%; min-width: 40rem; height: auto; }
figcaption { margin-top: .4rem; max-width: 42rem; }
table { border-collapse: collapse; margin: 1.6rem 0 .3rem; font-size: .9rem; line-height: 1.3; min-width: 50%; }
caption { text-align: left; font-style: italic; padding: 0 0 .35rem; font-size: 1.02rem; }
th, td { padding: .22rem .9rem .22rem 0; text-align: left; vertical-align: top; font-weight: normal; min-width: 3.2rem; }
th[scope="row"] { min-width: 7rem; }
td:last-child { min-width: 11rem; }
td.figure, td.figure:last-child { min-width: 0; }
thead th { border-top: 1px solid #1a1a1a; border-bottom: 1px solid #1a1a1a; vertical-align: bottom; }
tbody tr:last-child > * { border-bottom: 1px solid #1a1a1a; }
tbody tr.sum > * { border-top: 1px solid #1a1a1a; }
tbody tr + tr > * { border-top: 1px solid #e2e2e2; }
.figure { text-align: right; font-variant-numeric: tabular-nums lining-nums; }
td.figure { white-space: nowrap; }
th small { display: block; color: #555; }
.note { font-size: .85rem; color: #444; line-height: 1.4; margin-top: .2rem; max-width: 46rem; }
ul.files { padding-left: 0; list-style: none; max-width: 46rem; }
ul.files li { margin: .25rem 0; }
dl { max-width: 42rem; margin: .6rem 0; }
dt { font-style: italic; margin-top: .5rem; }
dd { margin: 0 0 0 1.4rem; }
@media (max-width: 40rem) {
  body { padding: 1rem .8rem 3rem; font-size: 1rem; }
  h1 { font-size: 1.6rem; }
  nav ol { columns: 1; }
  pre { font-size: .58rem; }
  .slide.wide::before { content: "slide sideways for the rest"; display: block; position: sticky; left: 0; width: max-content;
    color: #555; font-size: .75rem; font-style: italic; }
}
@page { margin: 15mm 14mm; }
@media print {
  body { max-width: none; padding: 0; font-size: 10pt; }
  h1 { font-size: 19pt; }
  h2 { font-size: 14pt; margin-top: 18pt; break-after: avoid; }
  caption { break-after: avoid; }
  p, .note, dl, figcaption, nav ol { max-width: none; }
  a { text-decoration: none; }
  .slide { overflow: visible; }
  .slide.wide::before { content: none; }
  img { min-width: 0; max-height: 195mm; width: auto; max-width: 100%; }
  figure, tr, pre { break-inside: avoid; }
  thead { display: table-header-group; }
  table { font-size: 8pt; min-width: 0; }
  th, td { padding-right: 7pt; min-width: 0; }
  th[scope="row"] { min-width: 6em; }
  td:last-child { min-width: 0; }
  table.short { break-inside: avoid; }
  thead, tbody tr:first-child { break-after: avoid; }
  .note { break-before: avoid; }
  pre { font-size: 7.6pt; }
}
"""

# In print the foot stands at the head: browsers misplace what is fixed to the foot where some pages lie on their side.
DOCUMENT_STYLE = """
h3 { font-size: 1.12rem; line-height: 1.25; margin: 1.9rem 0 .4rem; font-weight: bold; }
h2 + h3 { margin-top: 1.1rem; }
.draft { margin: 0 0 1.6rem; padding: .45rem 0; border-top: 1px solid #1a1a1a; border-bottom: 1px solid #1a1a1a;
  max-width: none; font-weight: bold; }
.across { display: none; }
.strong { font-size: 1.12rem; font-weight: bold; }
.small { font-size: .85rem; color: #444; line-height: 1.4; }
.pairs { display: grid; grid-template-columns: fit-content(13rem) 1fr; column-gap: 1.4rem; row-gap: .5rem; max-width: none; }
.pairs dt { margin: 0; font-style: normal; font-weight: bold; }
.pairs dd { margin: 0; max-width: 42rem; }
.side { display: flex; flex-wrap: wrap; column-gap: 2.6rem; }
.side > div { flex: 1 1 19rem; min-width: 0; }
.side table { width: 100%; }
ul, ol { max-width: 42rem; }
table.dense { font-size: .78rem; line-height: 1.25; width: 100%; min-width: 38rem; }
table.dense th, table.dense td { padding-top: .12rem; padding-bottom: .12rem; }
table.dense td:last-child { min-width: 5rem; }
main li { margin: .25rem 0; }
figcaption em { padding-right: .2em; }
.foot { margin-top: 3rem; padding-top: .5rem; border-top: 1px solid #1a1a1a; font-size: .85rem; color: #444; }
@media (max-width: 40rem) {
  caption { max-width: calc(100vw - 1.6rem); }
  td:not(.figure) { min-width: 6rem; }
  td:last-child { min-width: 7rem; }
  th, td { padding-right: .6rem; }
  .pairs { display: block; }
  .pairs dt { margin-top: .7rem; }
}
@media screen and (min-width: 60rem) {
  .landscape .slide { width: max-content; min-width: 100%; max-width: calc(50vw + 25rem); }
}
@page wide { size: landscape; }
@media print {
  nav { display: none; }
  h3 { font-size: 11pt; margin-top: 12pt; break-after: avoid; }
  .draft { margin-bottom: 7pt; padding: 3pt 0; }
  .across { display: block; position: fixed; z-index: -1; top: 40%; left: 0; right: 0; text-align: center; color: #e8e8e8;
    font: bold 84pt Georgia, "Liberation Serif", "DejaVu Serif", serif; transform: rotate(-50deg); white-space: nowrap; }
  th, td { padding-top: 1.5pt; padding-bottom: 1.5pt; }
  table.dense { font-size: 7pt; line-height: 1.2; min-width: 0; }
  table.dense th, table.dense td { padding-top: .8pt; padding-bottom: .8pt; }
  table.dense td:last-child { min-width: 0; }
  .new-page { break-after: page; }
  img { max-height: 140mm; }
  h2 + p, h3 + p, p:not(.note):has(+ ul), p:not(.note):has(+ .slide) { break-after: avoid; }
  .landscape th, .landscape td { padding-top: 1pt; padding-bottom: 1pt; }
  .landscape table { margin-top: 8pt; font-size: 7.5pt; line-height: 1.2; }
  .one-page { font-size: 8.4pt; line-height: 1.32; zoom: var(--part, 1); }
  .one-page table { font-size: 7.4pt; line-height: 1.2; margin: 5pt 0 2pt; }
  .one-page th, .one-page td { padding-top: .8pt; padding-bottom: .8pt; }
  .one-page p, .one-page dl { margin: 3pt 0 4pt; }
  .one-page .small, .one-page .note { font-size: 7pt; margin: 1pt 0 2pt; }
  .one-page caption { font-size: 8.4pt; padding-bottom: 1pt; }
  .one-page .strong { font-size: 10pt; }
  .one-page .pairs { row-gap: 2pt; column-gap: 10pt; }
  .pairs dd { max-width: none; }
  .landscape { page: wide; break-before: page; break-after: page; }
  .side { display: grid; grid-template-columns: 1fr 1fr; }
  .side, .pairs dd { break-inside: avoid; }
  main { -webkit-box-decoration-break: clone; box-decoration-break: clone; padding-top: 9mm; }
  .foot { position: fixed; top: 0; left: 0; right: 0; margin: 0; padding: 0; border: 0; font-size: 8pt; line-height: 1.25; }
}
"""
