// The frame of the page: what stands there whatever is found.

/** The places whose HTML the kernel sends. */
export const REGIONS = [
  "source", "settings", "plot", "choices", "table", "chart", "neck", "staff", "reasons",
];

/** The page without what is found. */
export const FRAME = `
<p class="hk-said" role="status" aria-live="polite"></p>
<p class="hk-trouble" role="alert" hidden></p>
<section><h3>The tune</h3>
<label class="hk-tune"><span>typed or pasted: changes between bar lines, our text form, ABC or MusicXML</span>
<textarea spellcheck="false" rows="8" data-typed="text"></textarea></label>
<div data-region="source"></div></section>
<section><h3>What may be done with it</h3>
<div data-region="settings"></div></section>
<section><h3>The ways, by numbers</h3>
<div class="hk-busy" hidden><span></span><progress></progress><button type="button" data-do="stop">Stop</button></div>
<div class="hk-ways"><div class="hk-figure" data-region="plot"></div>
<div><ul class="hk-key"><li><span class="hk-mark best">1</span>one of the best, as priced</li><li><span class="hk-mark front">A</span>a choice of the front</li><li><span class="hk-mark dot"></span>another of the front</li><li><span class="hk-mark written">0</span>the tune as written</li><li><span class="hk-mark ring"></span>shown below</li><li><span class="hk-mark ring dashed"></span>beside it</li></ul>
<div data-region="choices"></div></div></div>
<div data-region="table"></div></section>
<section><h3>What is shown</h3>
<div class="hk-player"><div class="hk-row">
<button type="button" class="hk-play" data-play="chosen">Hear it</button>
<button type="button" data-play="beside">Hear the one beside it</button>
<button type="button" data-play="both">Hear both in turn</button>
<button type="button" data-swap="1" hidden>Change over</button>
<span class="hk-tabs" role="group" aria-label="shown as">
<button type="button" data-set="view" data-value="chart">Chart</button><button type="button" data-set="view" data-value="neck">Neck</button><button type="button" data-set="view" data-value="staff">Staff</button></span>
<button type="button" data-do="unlock">Let all bars change</button></div>
<div class="hk-now" hidden aria-hidden="true"><p class="hk-where"></p>
<div><small>now</small><b class="chord"></b><svg><use/></svg></div>
<div class="hk-next"><small>next</small><b class="chord"></b><svg><use/></svg></div></div></div>
<p class="hk-note">Press a bar and it is kept as written; press it again and it may change. Its number plays from there.</p>
<div class="hk-chart" data-region="chart"></div>
<div data-region="neck"></div>
<div data-region="staff"></div></section>
<section><h3>The reasons</h3>
<div data-region="reasons"></div></section>
<section><h3>Take it away</h3>
<div class="hk-row hk-exports"></div>
<p class="hk-written" role="status"></p></section>`;
