/** The report's own sheet: paper, ink and one red; A4 with room to bind. */
export const REPORT_STYLE = `
:root{--paper:#fbfcfc;--rule:#d1d9dc;--strong:#98a3a8;--grid:#e2e8ea;--ink:#1d2730;--ink-2:#56616a;--clean:#46545f;--coloured:#9c2b24;--well:#f0f4f5;--note:#fbf0d9}
*{box-sizing:border-box}
html{background:#e8edef;color-scheme:light}
body{max-width:190mm;margin:8mm auto;padding:12mm 14mm;background:var(--paper);color:var(--ink);font:10.5pt/1.42 "Inter","Helvetica Neue","Segoe UI","Liberation Sans",sans-serif;font-variant-numeric:tabular-nums}
h1{font-size:19pt;line-height:1.15;margin:0 0 1mm;font-weight:600}
h2{font-size:12.5pt;margin:9mm 0 2.5mm;padding-bottom:1mm;border-bottom:1.5pt solid var(--ink);font-weight:600}
h3{font-size:10.5pt;margin:4mm 0 1.5mm;font-weight:600}
p{margin:1.5mm 0}
.sub,caption,figcaption{color:var(--ink-2)}
.off{color:var(--ink-2);font-style:italic}
.notes{white-space:pre-wrap;border-left:2pt solid var(--strong);padding:.5mm 0 .5mm 3mm;margin:2mm 0}
.statement{background:var(--note);padding:2mm 3mm;border-left:3pt solid var(--coloured)}
table{border-collapse:collapse;width:100%;margin:2mm 0;font-size:9.5pt}
caption{text-align:left;padding-bottom:1mm}
th,td{text-align:left;padding:.7mm 2.5mm .7mm 0;border-bottom:.5pt solid var(--rule);vertical-align:baseline;overflow-wrap:break-word}
.long{overflow-wrap:anywhere;word-break:break-word}
thead th{border-bottom:1pt solid var(--strong);font-weight:600}
th{font-weight:500}
.n{text-align:right;white-space:nowrap}
.set td{font-weight:600}
.idle td,.idle th{color:var(--ink-2)}
figure{margin:3mm 0;break-inside:avoid}
svg{display:block;width:100%;height:auto;background:var(--paper)}
svg text{font-size:8px;fill:var(--ink-2);font-family:inherit}
.grid{stroke:var(--grid);stroke-width:.7}.axis{stroke:var(--strong);stroke-width:.8}
polyline,svg line.clean,svg line.coloured,svg line.added,svg line.ink{fill:none}
.clean{stroke:var(--clean);stroke-width:.9}.ink{stroke:var(--ink);stroke-width:1.2}
.coloured{stroke:var(--coloured);stroke-width:1.7}.added{stroke:var(--coloured);stroke-width:.9;stroke-dasharray:2 2}
circle.clean{fill:var(--paper)}circle.coloured{fill:var(--coloured)}
.bar{fill:var(--coloured);fill-opacity:.75}
.facts{display:grid;grid-template-columns:1fr 1fr;gap:.6mm 6mm;margin:3mm 0;font-size:9.5pt}
.facts div{display:flex;justify-content:space-between;gap:4mm;border-bottom:.5pt solid var(--rule);padding:.5mm 0}
.facts dt{color:var(--ink-2)}.facts dd{margin:0;text-align:right;overflow-wrap:anywhere}
.facts div:nth-child(n+7){grid-column:1/-1}
.plots{display:grid;grid-template-columns:1fr 1fr;gap:5mm}.plots figure{margin:1.5mm 0}
.stages{display:grid;grid-template-columns:1fr 1fr;gap:1mm 5mm}
.two{display:grid;grid-template-columns:39mm minmax(0,1fr);gap:3mm;align-items:start}.two figure{margin:0}
.two table{margin:0 0 1mm;font-size:9pt}.stage>.sub{margin:0;font-size:8.5pt;line-height:1.3}
summary{margin:9mm 0 2.5mm;font-size:12.5pt;font-weight:600;cursor:pointer}
@media(max-width:640px){body{margin:0;padding:5mm 4mm}.facts,.plots,.two{grid-template-columns:minmax(0,1fr)}.stages{grid-template-columns:minmax(0,1fr)}.glance table{display:block;overflow-x:auto}}
footer{margin-top:10mm;padding-top:2mm;border-top:.5pt solid var(--strong);color:var(--ink-2);font-size:9pt}
@page{size:A4;margin:14mm 14mm 16mm 18mm}
@media print{html{background:none}body{max-width:none;margin:0;padding:0;font-size:9.5pt}h2{margin-top:6mm}h2,h3{break-after:avoid}tr,.stage,.whole,.two{break-inside:avoid}.glance table,.facts{font-size:9pt}.glance th,.glance td{padding-top:.45mm;padding-bottom:.45mm}.sheet{break-before:page}details:not([open]){display:none}}
`;
