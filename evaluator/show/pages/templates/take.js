"use strict";
// Sounds bars of the song with a small piano of sine waves, when a button asks for it.
(() => {
  const sounds = JSON.parse(document.getElementById("sounds").textContent);
  const player = document.getElementById("player");
  const said = document.getElementById("sounding");
  const [asWanted, asPlayed, stopper] = player.querySelectorAll("button");
  const GAP = 0.5; // seconds of silence between two versions
  const PARTIALS = [0, 1, 0.45, 0.22, 0.13, 0.07, 0.04, 0.02];

  let context = null;
  let wave = null;
  let playing = null; // what sounds now: its output, its timers, its button
  let chosen = null; // what the player's own buttons repeat

  function begin() {
    if (!context) {
      context = new AudioContext();
      wave = context.createPeriodicWave(new Float32Array(PARTIALS.length), new Float32Array(PARTIALS));
    }
    context.resume();
  }

  function stop() {
    if (!playing) return;
    playing.timers.forEach(clearTimeout);
    const { output, button } = playing;
    output.gain.setTargetAtTime(0, context.currentTime, 0.02);
    setTimeout(() => output.disconnect(), 200);
    if (button) button.classList.remove("sounding");
    said.textContent = "";
    stopper.disabled = true;
    playing = null;
  }

  // A struck string: loud at once, then dying away, the high ones sooner.
  function strike(output, at, length, key, velocity) {
    const tone = context.createOscillator();
    const hammer = context.createGain();
    const loud = 0.22 * (velocity / 100) ** 1.6;
    const dying = 0.9 * 2 ** ((60 - key) / 18);
    tone.setPeriodicWave(wave);
    tone.frequency.value = 440 * 2 ** ((key - 69) / 12);
    hammer.gain.setValueAtTime(0, at);
    hammer.gain.linearRampToValueAtTime(loud, at + 0.004);
    hammer.gain.setTargetAtTime(loud * 0.12, at + 0.006, dying);
    hammer.gain.setTargetAtTime(0, at + length, 0.05);
    tone.connect(hammer).connect(output);
    tone.start(at);
    tone.stop(at + length + 0.4);
  }

  // Sounds one list of notes from a time on and tells when it is over.
  function sound(notes, output, from) {
    let first = 0;
    let last = 0;
    for (let n = 0; n < notes.length; n += 4) {
      first = Math.min(first, notes[n]);
      last = Math.max(last, notes[n] + notes[n + 1]);
    }
    for (let n = 0; n < notes.length; n += 4) {
      const [start, length, key, velocity] = notes.slice(n, n + 4);
      strike(output, from + (start - first) / 1000, length / 1000, key, velocity);
    }
    return from + (last - first) / 1000;
  }

  function play(versions, button) {
    begin();
    stop();
    const output = context.createGain();
    const even = context.createDynamicsCompressor();
    output.connect(even).connect(context.destination);
    playing = { output, timers: [], button };
    const now = context.currentTime + 0.08;
    let at = now;
    for (const { notes, say } of versions) {
      const text = notes.length ? say : `${say}: silence`;
      const begins = (at - now) * 1000;
      if (begins) playing.timers.push(setTimeout(() => { said.textContent = text; }, begins));
      else said.textContent = text;
      at = sound(notes, output, at) + GAP;
    }
    playing.timers.push(setTimeout(stop, (at - now) * 1000));
    if (button) button.classList.add("sounding");
    stopper.disabled = false;
    player.hidden = false;
  }

  const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

  function wanted({ bar, name }) {
    if (bar === undefined) return [];
    return [{ notes: sounds.wanted[bar], say: `${capital(name)}, as the chart wants it` }];
  }

  function played({ turns, name }) {
    return turns.map((turn, index) => ({
      notes: sounds.played[turn],
      say: `${capital(name)}, as it was played${turns.length > 1 ? `, time ${index + 1}` : ""}`,
    }));
  }

  function choose(bar) {
    const { dataset } = bar;
    chosen = {
      bar: dataset.bar,
      turns: (dataset.turns || "").split(" ").filter(Boolean),
      name: dataset.say,
    };
    asPlayed.disabled = chosen.turns.length === 0;
  }

  document.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    if (button.classList.contains("bar")) {
      choose(button);
      play([...wanted(chosen), ...played(chosen)], button);
    } else if (button.classList.contains("hear")) {
      const { of, turns, say } = button.dataset;
      choose(button.closest(".line").querySelector(`[data-bar="${of}"]`));
      const notes = turns ? sounds.played[turns] : sounds.wanted[of];
      play([{ notes, say: capital(say) }], button);
    } else if (button === asWanted) play(wanted(chosen));
    else if (button === asPlayed) play(played(chosen));
    else if (button === stopper) stop();
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape") stop();
  });
})();
