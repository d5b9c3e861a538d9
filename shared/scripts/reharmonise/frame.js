// The frame of the page: what stands there whatever is found.

/** The places whose HTML the kernel sends. */
export const REGIONS = [
  "source", "settings", "direct", "plot", "choices", "table", "chart", "menu", "neck", "staff", "figure", "reasons",
];

/** The page without what is found. */
export const FRAME = `
<p class="hk-said" role="status" aria-live="polite"></p>
<p class="hk-trouble" role="alert" hidden></p>
<section><h3>The tune</h3>
<label class="hk-tune"><span>Type or paste changes between bar lines, a tune in text form, ABC or MusicXML; it is read as you type</span>
<textarea spellcheck="false" rows="8" data-typed="text"></textarea></label>
<div data-region="source"></div></section>
<section><h3>Moves and limits</h3>
<div data-region="settings"></div></section>
<section><h3>Arrangements compared</h3>
<div class="hk-busy" hidden><span></span><progress></progress><button type="button" data-do="stop">Stop</button></div>
<div class="hk-ways"><div class="hk-figure" data-region="plot"></div>
<div><ul class="hk-key"><li><span class="hk-mark best">1</span>least sum of weights</li><li><span class="hk-mark front">A</span>chosen from the Pareto front</li><li><span class="hk-mark dot"></span>also on the Pareto front</li><li><span class="hk-mark written">0</span>the tune as written</li><li><span class="hk-mark ring"></span>shown below</li><li><span class="hk-mark ring dashed"></span>compared with it</li></ul>
<div data-region="choices"></div></div></div>
<div data-region="table"></div></section>
<section><h3>The chosen arrangement</h3>
<div class="hk-player"><div class="hk-row">
<button type="button" class="hk-play" data-play="chosen">Hear it</button>
<button type="button" data-play="beside">Hear the other</button>
<button type="button" data-play="both">Hear both in turn</button>
<button type="button" data-swap="1" hidden>Switch</button>
<span class="hk-tabs" role="group" aria-label="View">
<button type="button" data-set="view" data-value="chart">Chart</button><button type="button" data-set="view" data-value="neck">Neck</button><button type="button" data-set="view" data-value="staff">Staff</button><button type="button" data-set="view" data-value="distances">Distances</button><button type="button" data-set="view" data-value="voices">Voices</button><button type="button" data-set="view" data-value="map">Map</button></span>
<span class="hk-undo" role="group" aria-label="History"><button type="button" data-do="undo" title="Ctrl+Z">Undo</button><button type="button" data-do="redo" title="Ctrl+Y">Redo</button></span>
<button type="button" data-do="unlock">Unlock and allow all</button></div>
<div class="hk-now" hidden aria-hidden="true"><p class="hk-where"></p>
<div><small>now</small><b class="chord"></b><svg><use/></svg></div>
<div class="hk-next"><small>next</small><b class="chord"></b><svg><use/></svg></div></div></div>
<div data-region="direct"></div>
<p class="hk-note hk-about-chart">Above each chord is the tune's own. A chord with a number was added: its reason has the same number. The line shows the highest note. Press a chord to refuse it, lock it or choose another. A bar that is played twice stands here twice, and each is decided by itself. Press a bar's number to hear it from there.</p>
<div class="hk-picture"><div class="hk-chart" data-region="chart"></div>
<div data-region="menu"></div></div>
<div data-region="neck"></div>
<div data-region="staff"></div>
<div data-region="figure"></div></section>
<section><h3>Reasons</h3>
<div data-region="reasons"></div></section>
<section><h3>Export</h3>
<div class="hk-row hk-exports"></div>
<p class="hk-written" role="status"></p></section>`;
