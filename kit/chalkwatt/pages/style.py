"""The stylesheet of a page, on screen and on paper; the boards bring their own."""

__all__ = ["CARD", "FACTS", "STYLE", "TEXT", "VERDICT"]

_SCREEN = """\
:root{color-scheme:light dark}
body{margin:0 auto;max-width:108rem;padding:clamp(.5rem,3vw,2.5rem)}
body{font:1rem/1.5 system-ui,sans-serif;color:light-dark(#1c1f1e,#e8e6e1);background:light-dark(#fff,#111)}
main>*{margin-block:0 2.5rem}
main>h1{font-size:2.25rem;font-weight:650;line-height:1.15;letter-spacing:-.015em;text-wrap:balance}
main>h1{margin-block:.5rem 1.25rem}
:is(h1,h2,h3,p,li,td,th,summary){overflow-wrap:break-word}
.cw-address:empty,.cw-share:empty{display:none}
.cw-address,.cw-share{color:light-dark(#5c6360,#a3a8a4);font-size:.9375rem;margin:0}
.cw-address{padding-bottom:1rem}
.cw-place{content-visibility:auto;contain-intrinsic-size:auto 60rem}
.cw-place+.cw-place{padding-top:1.5rem}
.cw-hidden{content-visibility:hidden}
.cw-static td{padding:.2rem .7rem .2rem 0;vertical-align:baseline}
.cw-static td:nth-child(3){text-align:right;white-space:nowrap}
.cw-static .cw-plot{height:auto;cursor:default}
.cw-static .cw-result{position:static}
"""

# No size of paper is named: margins are, so that A4 and letter both do.
_PAPER = """\
@page{margin:15mm 16mm}
@media print{
:root,.chalkwatt,.cw-fig{color-scheme:light!important}
body{max-width:none;padding:0;font-size:10.5pt;color:#000;background:#fff}
main>*{margin-block-end:1.5rem}
main>h1{font-size:20pt}
.cw-place,.cw-hidden{content-visibility:visible}
.cw-address,.cw-share{display:none}
details::details-content{content-visibility:visible;block-size:auto}
:is(h1,h2,h3,h4){break-after:avoid}
:is(figure,tr,li,img){break-inside:avoid}
}
"""

STYLE = _SCREEN + _PAPER

# What only some pages have.
VERDICT = """\
main .cw-verdict td.whole{min-width:9rem}
@container(max-width:50rem){
main .cw-verdict :is(th,td){padding-inline-end:.6rem}
main .cw-verdict .strip{min-width:6rem}
}
@media print{
main .cw-fig{--ink:#000;--quiet:#333;--accent:#000;--wrong:#000;--band:#e4e4e4;--hair:#999}
main .cw-verdict{font-size:9.5pt}
main .cw-verdict .scroll{overflow:visible}
main .cw-verdict table{font-size:8.5pt}
main .cw-verdict .figures{grid-template-columns:repeat(2,minmax(0,1fr));gap:1rem 2rem}
}
"""
TEXT = """\
.cw-text{max-width:44rem;text-wrap:pretty}
.cw-text>*{margin-block:0 .9rem}
.cw-text h2{font-size:1.5rem;font-weight:600;line-height:1.25;letter-spacing:-.01em}
.cw-text h3{font-size:1.125rem;font-weight:600}
.cw-text :is(ul,ol){padding-inline-start:1.4rem}
.cw-text code{font-size:.925em}
"""
CARD = """\
.cw-card{margin-inline:0;max-width:60rem;print-color-adjust:exact}
.cw-card img{display:block;max-width:100%;height:auto;max-height:90vh}
.cw-card.cw-dark{background:#111}
.cw-card.cw-light{background:#fff}
@media print{.cw-card img{max-height:18cm}}
"""
FACTS = """\
.cw-facts{margin-top:-1.25rem}
.cw-facts summary{cursor:pointer;color:light-dark(#0b6a54,#5fd3ae)}
.cw-facts div{overflow-x:auto}
.cw-facts table{border-collapse:collapse;margin-top:.75rem}
.cw-facts :is(th,td){text-align:left;font-weight:400;vertical-align:baseline}
.cw-facts :is(th,td){padding:.3rem 1.25rem .3rem 0;min-width:6rem}
.cw-facts thead th{color:light-dark(#5c6360,#a3a8a4);border-bottom:1px solid light-dark(#c9cdca,#4b504d)}
.cw-facts td:last-child{min-width:16rem;max-width:32rem}
@media print{.cw-facts summary{list-style:none;color:#000}.cw-facts div{overflow:visible}}
"""
