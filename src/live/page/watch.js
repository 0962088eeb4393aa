// A stopwatch for a thumb, and a film of this device stepped frame by frame. What they give goes where it was asked for.
const seconds = (ms) => `${(ms / 1000).toFixed(2)}`;

/** Opens the stopwatch; `take` is given the seconds that are used, one at a time. */
const stopwatch = (take) => {
  let begun = null, stood = 0, ticking = 0;
  const laps = [], box = $("watch");
  const now = () => stood + (begun === null ? 0 : performance.now() - begun);
  const line = (text, ms) => {
    const item = make("li", null);
    item.append(make("span", `${text} ${seconds(ms)} s`), act(say("use"), () => { take(seconds(ms)); box.close(); }, { "aria-label": `${say("use")}: ${seconds(ms)} s` }));
    return item;
  };
  const draw = () => {
    $("watch-time").textContent = `${seconds(now())} s`;
    $("watch-go").textContent = say(begun === null ? "watch_start" : "watch_stop");
    $("watch-lap").textContent = say(begun === null ? "watch_zero" : "watch_lap");
    $("watch-laps").replaceChildren(...(begun === null && stood > 0 ? [line(say("watch_all"), stood)] : []), ...laps.map((ms, i) => line(say("watch_lap_of", i + 1), ms)));
  };
  const tick = () => { $("watch-time").textContent = `${seconds(now())} s`; ticking = requestAnimationFrame(tick); };
  // On the way down of the thumb, not when it is lifted; keys and helpers click.
  const pressed = (button, work) => {
    let down = false;
    button.onpointerdown = (event) => { if (event.button === 0) { down = true; work(); } };
    button.onclick = () => { if (!down) work(); down = false; };
  };
  pressed($("watch-go"), () => {
    if (begun === null) { begun = performance.now(); tick(); } else { stood = now(); begun = null; cancelAnimationFrame(ticking); }
    draw();
  });
  pressed($("watch-lap"), () => {
    if (begun === null) { stood = 0; laps.length = 0; } else laps.push(now());
    draw();
  });
  $("watch-close").onclick = () => box.close();
  box.onclose = () => { cancelAnimationFrame(ticking); begun = null; };
  draw();
  box.showModal();
};

/** Opens the film: `take` is given the frames of the marks, counted from the start, and the frames a second. */
const film = (fps, count, take) => {
  const box = $("film"), video = $("film-video"), rate = $("film-rate");
  let frame = 0, start = null, marks = [], url = null;
  const per_second = () => { const given = Number(rate.value); return given > 0 ? given : 30; };
  const last = () => (Number.isFinite(video.duration) ? Math.max(0, Math.ceil(video.duration * per_second()) - 1) : Infinity);
  const draw = () => {
    $("film-at").textContent = say("film_at", frame, seconds((1000 * frame) / per_second()));
    const list = start === null ? [] : [make("li", say("film_from", start))];
    list.push(...marks.map((mark, i) => make("li", say("film_mark_of", i + 1, mark - start, seconds((1000 * (mark - start)) / per_second())))));
    $("film-marks").replaceChildren(...list);
    const ready = url !== null;
    for (const id of ["film-start", "film-mark", "film-steps"]) show(id, ready);
    $("film-mark").disabled = start === null || frame <= start || marks.length >= count;
    $("film-use").disabled = marks.length === 0;
  };
  // The middle of a frame, so that rounding shows no other.
  const go = (to) => { frame = Math.min(Math.max(0, to), last()); video.currentTime = (frame + 0.5) / per_second(); draw(); };
  rate.value = String(fps);
  rate.onchange = () => { start = null; marks = []; go(0); };
  $("film-file").onchange = () => {
    const [file] = $("film-file").files;
    if (!file) return;
    if (url) URL.revokeObjectURL(url);
    url = URL.createObjectURL(file);
    start = null; marks = []; frame = 0;
    video.src = url;
    show("film-video", true);
    $("film-told").textContent = "";
    draw();
  };
  video.onloadeddata = () => go(0);
  video.onerror = () => { if (url) $("film-told").textContent = say("film_refused"); };
  for (const button of $("film-steps").children) button.onclick = () => go(frame + Number(button.dataset.by));
  $("film-start").onclick = () => { start = frame; marks = []; draw(); };
  $("film-mark").onclick = () => { marks = [...marks, frame]; draw(); };
  $("film-use").onclick = () => { take(marks.map((mark) => mark - start), per_second()); box.close(); };
  $("film-close").onclick = () => box.close();
  box.onclose = () => { video.removeAttribute("src"); video.load(); if (url) URL.revokeObjectURL(url); url = null; $("film-file").value = ""; show("film-video", false); };
  show("film-video", false);
  draw();
  box.showModal();
};
