# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How the operator sheet looks: like a printed form, in black and white."""

from __future__ import annotations

from flatwright.reports.markup import Markup
from flatwright.reports.sheet_map import STYLE as MAP_STYLE

PAPERS = {"A4": "A4", "A3": "A3", "Letter": "letter"}

STYLE = """
*{box-sizing:border-box}
body{font:9.5pt/1.35 sans-serif;color:#000;background:#fff;margin:0 auto;max-width:186mm}
h1{font-size:19pt;line-height:1.15;margin:0 0 1.5mm}
section .form{margin-bottom:1mm;font-size:8pt}
h2{font-size:15pt;margin:0 0 2mm;padding:1mm 0;border-top:1mm solid #000;border-bottom:.3mm solid #000}
h3{font-size:10.5pt;margin:4.5mm 0 1.2mm}
h4{font-size:9.5pt;margin:2mm 0 1mm}
p{margin:0 0 1.5mm}
header{border-top:1.4mm solid #000;border-bottom:.3mm solid #000;padding:1.5mm 0 2mm}
.form{font-size:9pt;letter-spacing:.12em;text-transform:uppercase}
.fields{display:flex;gap:4mm;margin:4mm 0 0}
.field{flex:1;border-bottom:.3mm solid #000;font-size:8pt;padding-bottom:.5mm}
table{border-collapse:collapse;width:100%}
th{text-align:left;font-size:8pt;border-bottom:.5mm solid #000;padding:.6mm 2mm .6mm 0;vertical-align:bottom}
td{border-bottom:.15mm solid #777;padding:.7mm 2mm .7mm 0;vertical-align:top}
th{white-space:nowrap}
.num{text-align:right;font-variant-numeric:tabular-nums}
.boards td,.joints td,.figures td,.boards th,.joints th,.figures th{font-size:8.3pt;white-space:normal}
.file{font-family:monospace;font-size:8.5pt;white-space:nowrap}
.columns{display:grid;column-gap:6mm;align-items:start}
.of2{grid-template-columns:1fr 1fr}
.of3{grid-template-columns:1fr 1fr 1fr}
.setup{display:grid;grid-template-columns:1fr 1fr;gap:0 6mm;margin:0 0 2mm}
.setup div{display:flex;border-bottom:.15mm solid #777;padding:.6mm 0}
.setup dt{width:21mm;flex:none;font-size:8pt;padding-top:.2mm}
.setup dd{margin:0;font-size:9pt}
.legend{font-size:8pt}
pre{white-space:pre-wrap;font-size:8pt}
code{overflow-wrap:anywhere}
.refused{border:1mm solid #000;padding:2mm 3mm;margin:2mm 0}
.loud{font-size:14pt;font-weight:bold}
.cautions{border:.5mm solid #000;padding:0 3mm 2mm;margin-top:5mm}
.cautions ul{margin:1mm 0 2mm;padding-left:4.5mm;columns:2;column-gap:7mm;font-size:8.8pt}
.cautions li{margin-bottom:.8mm;break-inside:avoid}
.noise{width:auto}
.noise td{padding:.5mm 4mm .5mm 0}
.steps{padding-left:6mm;margin:0}
.steps li{margin-bottom:1.6mm;padding-left:7mm;position:relative;break-inside:avoid}
.box{position:absolute;left:1mm;top:.5mm;width:3.6mm;height:3.6mm;border:.3mm solid #000}
"""

PRINT = """
@page{size:%s portrait;margin:12mm;
@bottom-right{content:counter(page) " / " counter(pages);font:8pt sans-serif}}
@media print{body{max-width:none}section{break-before:page}}
@media screen{body{padding:8mm}section{margin-top:14mm}}
tr,.refused,.cautions,.map{break-inside:avoid}
h2,h3,h4{break-after:avoid}
thead{display:table-header-group}
"""


def style(paper: str) -> Markup:
    """The style sheet for a paper size; an unknown one is printed as A4."""
    return Markup(STYLE + MAP_STYLE + PRINT % PAPERS.get(paper, "A4"))
