//! How the phone page looks.
//!
//! Black on white, large, and nothing that only colour says: it is read in bright sun at arm's length. What a thumb
//! must hit is 44 px high or more. `:target` opens a spot's answer, so that no script is needed for it.

/// The page's only style sheet; the page's policy allows no other.
pub(super) const STYLE: &str = "\
:root{--ink:#000;--paper:#fff;--line:#767676;--soft:#eee;--warn:#8a1c00;--link:#003a8c}
@media (prefers-color-scheme:dark){:root{--ink:#f2f2f2;--paper:#101010;--line:#8c8c8c;--soft:#242424;--warn:#ffb59e;--link:#a8c8ff}}
:root:has(#light-sun:checked){--ink:#000;--paper:#fff;--line:#000;--soft:#fff;--warn:#000;--link:#000;color-scheme:light}
:root:has(#light-dark:checked){--ink:#f2f2f2;--paper:#101010;--line:#8c8c8c;--soft:#242424;--warn:#ffb59e;--link:#a8c8ff;color-scheme:dark}
*{box-sizing:border-box}
html{scroll-padding:4rem 0 5rem}
body{margin:0 auto;padding:.75rem .75rem 5rem;max-width:44rem;font:1.125rem/1.4 'IBM Plex Sans Condensed','Roboto Condensed','Arial Narrow',system-ui,sans-serif;color:var(--ink);background:var(--paper);overflow-wrap:anywhere}
:root:has(#light-sun:checked) body{font-weight:600}
h1{font-size:1.75rem;line-height:1.15;margin:0}
h2{font-size:1.25rem;margin:1.5rem 0 .25rem;border-top:3px solid var(--ink);padding-top:.25rem}
h3{font-size:1.125rem;margin:0 0 .25rem}
p{margin:.35rem 0;unicode-bidi:isolate}
hr{border:0;border-top:1px solid var(--line);margin:.5rem 0}
a{color:var(--link)}
b{margin-right:.3em}
.ends{display:flex;flex-wrap:wrap;gap:.1rem 1rem;justify-content:space-between}
.line{font-weight:600;margin-top:.6rem}
.warning{border-left:.4rem solid var(--warn);padding-left:.5rem;font-weight:600}
.warning b{color:var(--warn)}
.skip{position:absolute;left:-99rem}
.skip:focus{position:static;display:block;padding:.75rem 0}
.light{border:1px solid var(--line);margin:.5rem 0;padding:0 .5rem;display:flex;flex-wrap:wrap;gap:0 1rem}
.light label{display:inline-flex;align-items:center;gap:.4rem;min-height:2.75rem}
.light input{width:1.4rem;height:1.4rem;margin:0}
nav{position:fixed;inset:auto 0 0;background:var(--paper);border-top:2px solid var(--ink);z-index:1}
nav ul{display:flex;list-style:none;margin:0 auto;padding:0;max-width:44rem;overflow-x:auto}
nav li{flex:1 0 auto}
nav a{display:flex;align-items:center;justify-content:center;min-height:3rem;padding:0 .6rem}
.spots{border-collapse:collapse;width:100%;table-layout:fixed;font-size:1rem}
.spots th,.spots td{border:1px solid var(--line);padding:0;text-align:center;line-height:1.15}
.spots tr>:first-child{width:4.2rem;text-align:left;padding-left:.25rem}
.spots thead th{padding:.25rem .1rem}
.spots td a,.spots td span{display:flex;align-items:center;justify-content:center;min-height:2.75rem;font-weight:600}
.answer{display:none;border:3px solid var(--ink);padding:.5rem .75rem;margin:.75rem 0}
.answer:target{display:block}
.answer a{display:inline-flex;align-items:center;min-height:2.75rem}
:target{scroll-margin-top:1rem}
:focus-visible{outline:3px solid var(--link);outline-offset:2px}
summary{min-height:2.75rem;display:list-item;padding:.6rem 0;font-weight:600;cursor:pointer}
.plan{background:#fff;overflow-x:auto}
.plan svg{display:block;width:100%;height:auto;min-width:20rem}
@media print{nav,.light,.skip,.answer,#phases,#calls,#match-day{display:none}body{padding:0;font-size:10pt;color:#000;background:#fff}h2{break-after:avoid}}
";
