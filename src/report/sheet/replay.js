"use strict";
// Draws the recorded pass of this page. Reads one JSON element, uses nothing from outside the page and keeps nothing.
(() => {
  const source = document.getElementById("record");
  const section = document.getElementById("replay");
  if (!source || !section) return;
  const data = JSON.parse(source.textContent);
  const words = data.words;
  const find = (id) => document.getElementById(id);
  const stage = find("stage"), trace = find("trace"), scrub = find("scrub"), play = find("play");
  const ghostBox = find("ghost"), speedBox = find("speed"), buttons = [...section.querySelectorAll("[data-ms]")];
  const still = window.matchMedia("(prefers-reduced-motion: reduce)");
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

  // One pass, unpacked: swing angles in rad, patches as [first station, levels…] per frame.
  const unpack = (pass) => {
    for (const unit of pass.units) {
      let sum = 0;
      unit.phi = unit.swing.map((step) => (sum += step) / 1e4);
      unit.touch = unit.patches.split("|").map((frame) => frame === "" ? [] : frame.split(";").map((patch) => {
        const cut = patch.indexOf(":");
        return { first: +patch.slice(0, cut), levels: [...patch.slice(cut + 1)].map((c) => LETTERS.indexOf(c) / 63) };
      }));
      unit.lastTouch = unit.touch.reduce((last, frame, k) => (frame.length ? k : last), 0);
    }
    pass.done = Math.max(0, ...pass.units.map((unit) => unit.lastTouch));
    return pass;
  };
  const main = unpack(data.main);
  const other = data.other ? unpack(data.other) : null;
  const lastFrame = main.frames - 1;
  const frameOf = (ms) => Math.min(lastFrame, Math.max(0, (ms - main.start_ms) / main.frame_ms));
  const msOf = (frame) => main.start_ms + frame * main.frame_ms;

  let frame = frameOf(data.still_ms), running = false, before = 0, timer = 0;

  // Colours of the page, so that the picture follows the theme.
  let ink = {};
  const readInk = () => {
    const style = getComputedStyle(section);
    for (const name of ["ink", "muted", "grid", "paper", "panel", "vehicle", "vehicle-edge", "machine", "left", "right",
      "washed", "not-yet", "missed", "highlight", "ghost"]) ink[name] = style.getPropertyValue("--" + name).trim();
    ink.scale = Array.from({ length: 9 }, (_, i) => style.getPropertyValue("--scale" + i).trim());
  };
  const scaleInk = (share) => ink.scale[Math.min(8, Math.max(0, Math.round(share * 8)))];

  // Ground (mm) to picture (px). Narrow: travel points up; wide: to the right.
  let view = {};
  const fit = (canvas, height) => {
    const ratio = Math.min(3, window.devicePixelRatio || 1), width = canvas.clientWidth;
    canvas.style.height = height + "px";
    canvas.width = Math.round(width * ratio);
    canvas.height = Math.round(height * ratio);
    const g = canvas.getContext("2d");
    g.setTransform(ratio, 0, 0, ratio, 0, 0);
    return { g, width, height };
  };
  const measure = () => {
    readInk();
    const width = stage.clientWidth;
    const reach = Math.max(...main.units.map((u) => u.arm_mm + u.brush_mm));
    const xs = main.units.map((u) => u.pivot_x_mm);
    const low = Math.min(...xs) - 2300, high = Math.max(...xs) + reach + 700;
    const half = Math.max(...main.units.map((u) => Math.abs(u.pivot_y_mm))) + 450;
    const up = width < 640;
    const along = high - low, across = 2 * half;
    const tall = Math.max(320, Math.min(640, window.innerHeight * 0.7));
    const scale = up ? Math.min(width / across, tall / along) : Math.min(width / along, 460 / across);
    const height = Math.round(scale * (up ? along : across));
    view = { ...fit(stage, height), up, scale, middle: (low + high) / 2 };
    view.at = up
      ? (x, y) => [view.width / 2 - y * scale, height / 2 - (x - view.middle) * scale]
      : (x, y) => [view.width / 2 + (x - view.middle) * scale, height / 2 - y * scale];
    view.strip = fit(trace, 92);
  };

  const line = (g, points, closed) => {
    g.beginPath();
    points.forEach(([x, y], i) => (i ? g.lineTo(x, y) : g.moveTo(x, y)));
    if (closed) g.closePath();
  };

  // A point of a vehicle (nose tip at x = 0) on the ground at a time.
  const ride = (pass, vehicle, ms) => {
    const length = pass.shapes[vehicle.shape].length_mm, cos = Math.cos(vehicle.yaw_rad), sin = Math.sin(vehicle.yaw_rad);
    const nose = pass.speed_mm_s * (ms - vehicle.nose_ms) / 1000, half = length / 2;
    return (x, y) => [nose - half + cos * (x + half) - sin * y, vehicle.offset_mm + sin * (x + half) + cos * y];
  };

  const angle = (unit, at) => {
    const k = Math.min(unit.phi.length - 1, Math.max(0, Math.floor(at))), next = Math.min(unit.phi.length - 1, k + 1);
    return unit.phi[k] + (unit.phi[next] - unit.phi[k]) * Math.min(1, Math.max(0, at - k));
  };
  const centre = (unit, phi) => {
    const sign = unit.side === "left" ? 1 : -1;
    return [unit.pivot_x_mm + unit.arm_mm * Math.sin(phi), unit.pivot_y_mm - sign * unit.arm_mm * Math.cos(phi)];
  };

  const drawVehicle = (g, pass, vehicle, ms, ghost) => {
    const place = ride(pass, vehicle, ms);
    pass.shapes[vehicle.shape].outlines.forEach((outline, i) => {
      const points = [];
      for (let k = 0; k < outline.length; k += 2) points.push(view.at(...place(outline[k], outline[k + 1])));
      line(g, points, true);
      if (!ghost) {
        g.fillStyle = ink.vehicle;
        if (i === 0) g.fill();
      }
      g.strokeStyle = ghost ? ink.ghost : ink["vehicle-edge"];
      g.globalAlpha = i === 0 ? (vehicle.measured ? 1 : 0.55) : 0.35;
      g.setLineDash(ghost ? [5, 4] : []);
      g.lineWidth = i === 0 ? 1.2 : 0.8;
      g.stroke();
      g.globalAlpha = 1;
      g.setLineDash([]);
    });
  };

  // What each station of the outline has had: washed, not yet, missed for good.
  const drawStations = (g, ms) => {
    const vehicle = main.vehicles.find((v) => v.measured), place = ride(main, vehicle, ms);
    const count = main.washed_frame.length, over = frame >= main.done;
    const at = (i) => view.at(...place(main.stations_mm[2 * (i % count)], main.stations_mm[2 * (i % count) + 1]));
    const kind = (i) => {
      const washed = main.washed_frame[i];
      if (washed === -2) return 0;
      if (washed >= 0 && washed <= frame) return 1;
      return over ? 3 : 2;
    };
    for (let i = 0; i < count;) {
      const own = kind(i), start = i;
      while (i < count && kind(i) === own) i++;
      if (own === 0) continue;
      const points = [];
      for (let k = start; k <= i; k++) points.push(at(k));
      line(g, points, false);
      g.strokeStyle = [null, ink.washed, ink["not-yet"], ink.missed][own];
      g.setLineDash([null, [], [2, 4], [7, 3]][own]);
      g.lineWidth = [0, 2.6, 1.6, 4.2][own];
      g.stroke();
    }
    g.setLineDash([]);
    return at;
  };

  const drawPatches = (g, at) => {
    const k = Math.round(frame);
    for (const unit of main.units) for (const patch of unit.touch[k] || []) {
      patch.levels.forEach((level, i) => {
        line(g, [at(patch.first + i), at(patch.first + i + 1)], false);
        g.lineCap = "round";
        g.strokeStyle = ink.ink;
        g.lineWidth = 6.4 + 6 * level;
        g.stroke();
      });
      patch.levels.forEach((level, i) => {
        line(g, [at(patch.first + i), at(patch.first + i + 1)], false);
        g.strokeStyle = scaleInk(level);
        g.lineWidth = 4.2 + 6 * level;
        g.stroke();
      });
      g.lineCap = "butt";
    }
  };

  const drawBrush = (g, unit, phi, ms) => {
    const [x, y] = centre(unit, phi), [px, py] = view.at(x, y), radius = unit.brush_mm * view.scale;
    const colour = ink[unit.side];
    g.beginPath();
    g.arc(px, py, radius, 0, 2 * Math.PI);
    g.fillStyle = colour;
    g.globalAlpha = 0.1;
    g.fill();
    g.globalAlpha = 0.5;
    g.strokeStyle = colour;
    g.lineWidth = 1;
    const turn = still.matches ? 0 : unit.spin_rad_s * ms / 1000;
    g.beginPath();
    for (let i = 0; i < unit.strips; i++) {
      const psi = turn + 2 * Math.PI * i / unit.strips, c = Math.cos(psi), s = Math.sin(psi);
      g.moveTo(...view.at(x + unit.hub_mm * c, y + unit.hub_mm * s));
      g.lineTo(...view.at(x + unit.brush_mm * c, y + unit.brush_mm * s));
    }
    g.stroke();
    g.globalAlpha = 1;
    g.beginPath();
    g.arc(px, py, radius, 0, 2 * Math.PI);
    g.lineWidth = 1.8;
    g.setLineDash(unit.side === "left" ? [] : [9, 4]);
    g.stroke();
    g.setLineDash([]);
    g.beginPath();
    g.arc(px, py, unit.hub_mm * view.scale, 0, 2 * Math.PI);
    g.fillStyle = ink.paper;
    g.fill();
    g.stroke();
  };
  const drawArm = (g, unit, phi) => {
    const pivot = view.at(unit.pivot_x_mm, unit.pivot_y_mm), end = view.at(...centre(unit, phi));
    g.lineCap = "round";
    line(g, [pivot, end], false);
    g.strokeStyle = ink.paper;
    g.lineWidth = 8;
    g.stroke();
    g.strokeStyle = ink.machine;
    g.lineWidth = 5;
    g.stroke();
    g.lineCap = "butt";
    g.beginPath();
    g.arc(...pivot, 7, 0, 2 * Math.PI);
    g.fillStyle = ink.machine;
    g.fill();
    g.beginPath();
    g.arc(...pivot, 2.6, 0, 2 * Math.PI);
    g.fillStyle = ink.paper;
    g.fill();
  };
  const drawGhost = (g, unit, phi) => {
    const pivot = view.at(unit.pivot_x_mm, unit.pivot_y_mm), [x, y] = centre(unit, phi), end = view.at(x, y);
    g.strokeStyle = ink.ghost;
    g.setLineDash([6, 5]);
    g.lineWidth = 2;
    line(g, [pivot, end], false);
    g.stroke();
    g.beginPath();
    g.arc(...end, unit.brush_mm * view.scale, 0, 2 * Math.PI);
    g.stroke();
    g.setLineDash([]);
  };

  const text = (g, words_, x, y, colour, align, size) => {
    g.font = `${size || 12}px system-ui, sans-serif`;
    g.textAlign = align || "left";
    g.lineWidth = 3;
    g.strokeStyle = ink.paper;
    g.strokeText(words_, x, y);
    g.fillStyle = colour;
    g.fillText(words_, x, y);
  };

  // The other set-up is shown where its vehicle stands at the same place of the lane.
  const otherFrame = (ms) => {
    const at = ms * main.speed_mm_s / other.speed_mm_s;
    return Math.min(other.frames - 1, Math.max(0, (at - other.start_ms) / other.frame_ms));
  };

  const drawStage = () => {
    const { g, width, height } = view, ms = msOf(frame);
    g.clearRect(0, 0, width, height);
    g.strokeStyle = ink.grid;
    g.setLineDash([12, 8]);
    g.lineWidth = 1;
    line(g, [view.at(view.middle - 2e4, 0), view.at(view.middle + 2e4, 0)], false);
    g.stroke();
    g.setLineDash([]);
    for (const unit of main.units) drawBrush(g, unit, angle(unit, frame), ms);
    for (const vehicle of main.vehicles) drawVehicle(g, main, vehicle, ms, false);
    const at = drawStations(g, ms);
    drawPatches(g, at);
    if (other && ghostBox.checked) {
      const back = otherFrame(ms);
      for (const unit of other.units) drawGhost(g, unit, angle(unit, back));
    }
    for (const unit of main.units) drawArm(g, unit, angle(unit, frame));
    for (const unit of main.units) {
      const sign = unit.side === "left" ? 1 : -1, [x, y] = view.at(unit.pivot_x_mm, unit.pivot_y_mm + sign * 300);
      const align = view.up ? (sign > 0 ? "left" : "right") : "center";
      const edge = view.up ? (sign > 0 ? 4 : width - 4) : x;
      text(g, words[unit.side], edge, view.up ? y + 22 : y + (sign > 0 ? 2 : 8), ink[unit.side], align, 13);
    }
    const [ax, ay] = view.up ? [width - 16, height - 14] : [14, height - 12];
    text(g, view.up ? "↑ " + words.travel : words.travel + " →", ax, ay, ink.muted, view.up ? "right" : "left", 12);
  };

  const drawTrace = () => {
    const { g, width, height } = view.strip, top = 8, bottom = height - 10;
    g.clearRect(0, 0, width, height);
    const all = main.units.concat(other && ghostBox.checked ? other.units : []).flatMap((u) => u.phi);
    let low = Infinity, high = -Infinity;
    for (const phi of all) { low = Math.min(low, phi); high = Math.max(high, phi); }
    const x = (k) => k / Math.max(1, lastFrame) * width, y = (phi) => bottom - (phi - low) / Math.max(0.02, high - low) * (bottom - top);
    g.strokeStyle = ink.grid;
    g.lineWidth = 1;
    for (const button of buttons) {
      const k = x(frameOf(+button.dataset.ms));
      line(g, [[k, 0], [k, height]], false);
      g.stroke();
    }
    const curve = (pass, unit, colour, dash) => {
      const points = [];
      for (let k = 0; k <= lastFrame; k += 2) {
        points.push([x(k), y(pass === main ? unit.phi[k] : angle(unit, otherFrame(msOf(k))))]);
      }
      line(g, points, false);
      g.strokeStyle = colour;
      g.setLineDash(dash);
      g.lineWidth = 1.8;
      g.stroke();
      g.setLineDash([]);
    };
    if (other && ghostBox.checked) for (const unit of other.units) curve(other, unit, ink.ghost, [4, 4]);
    for (const unit of main.units) curve(main, unit, ink[unit.side], unit.side === "left" ? [] : [7, 3]);
    g.strokeStyle = ink.highlight;
    g.lineWidth = 2;
    line(g, [[x(frame), 0], [x(frame), height]], false);
    g.stroke();
    for (const unit of main.units) {
      g.beginPath();
      g.arc(x(frame), y(angle(unit, frame)), 4, 0, 2 * Math.PI);
      g.fillStyle = ink[unit.side];
      g.fill();
    }
    text(g, words.swing, 4, 12, ink.muted, "left", 11);
  };

  const tell = () => {
    const ms = msOf(frame), k = Math.round(frame), seconds = (ms / 1000).toFixed(2) + " s";
    find("read-time").textContent = seconds;
    const nose = main.speed_mm_s * ms / 1e6;
    find("read-nose").textContent = data.us ? (nose / 0.3048).toFixed(2) + " ft" : nose.toFixed(2) + " m";
    for (const unit of main.units) {
      const force = unit.force_n[k] || 0;
      find("read-swing-" + unit.side).textContent = (angle(unit, frame) * 180 / Math.PI).toFixed(1) + "°";
      find("read-force-" + unit.side).textContent = data.us ? (force / 4.4482216152605).toFixed(1) + " lbf" : force.toFixed(0) + " N";
    }
    scrub.value = String(k);
    scrub.setAttribute("aria-valuetext", seconds);
    let current = null;
    for (const button of buttons) if (+button.dataset.ms <= ms + 1) current = button;
    for (const button of buttons) button.toggleAttribute("data-now", button === current);
  };
  const draw = () => { drawStage(); drawTrace(); tell(); };

  const stop = () => {
    running = false;
    clearTimeout(timer);
    play.textContent = "▶";
    play.setAttribute("aria-label", words.play);
  };
  const go = (to) => { frame = Math.min(lastFrame, Math.max(0, to)); draw(); };
  const tick = (now) => {
    if (!running) return;
    const passed = Math.min(100, now - before);
    before = now;
    frame += passed * Number(speedBox.value) / main.frame_ms;
    if (frame >= lastFrame) { frame = lastFrame; stop(); }
    draw();
    if (running) requestAnimationFrame(tick);
  };
  const places = () => buttons.map((b) => frameOf(+b.dataset.ms));
  const jump = (way) => {
    const near = 0.4, list = places();
    const next = way > 0 ? list.find((p) => p > frame + near) : list.filter((p) => p < frame - near).pop();
    go(next === undefined ? (way > 0 ? lastFrame : 0) : next);
  };
  // With reduced motion nothing glides: the picture goes from event to event and stands still at each.
  const step = () => {
    if (!running) return;
    jump(1);
    if (frame >= lastFrame) stop(); else timer = setTimeout(step, 1500);
  };
  const start = () => {
    if (frame >= lastFrame - 0.5) frame = 0;
    running = true;
    play.textContent = "❚❚";
    play.setAttribute("aria-label", words.pause);
    if (still.matches) step();
    else requestAnimationFrame((now) => { before = now; tick(now); });
  };
  const toggle = () => (running ? stop() : start());

  play.addEventListener("click", toggle);
  find("prev").addEventListener("click", () => { stop(); jump(-1); });
  find("next").addEventListener("click", () => { stop(); jump(1); });
  scrub.addEventListener("input", () => { stop(); go(Number(scrub.value)); });
  // After an event was tapped or clicked, the space bar plays on from there; who came to it by the keyboard stays on it.
  for (const button of buttons) button.addEventListener("click", (event) => {
    stop();
    go(frameOf(+button.dataset.ms));
    if (event.detail > 0) play.focus({ preventScroll: true });
  });
  if (ghostBox) ghostBox.addEventListener("change", draw);
  section.addEventListener("keydown", (event) => {
    const busy = /^(BUTTON|SELECT)$/.test(event.target.tagName) || event.target.type === "checkbox";
    if (event.key === " " && !busy) { event.preventDefault(); toggle(); }
    if (event.key === "PageUp" || event.key === "PageDown") { event.preventDefault(); stop(); jump(event.key === "PageDown" ? 1 : -1); }
  });
  // Dragging over the curve, or along the lane on the picture, scrubs; works with mouse, pen and touch.
  let held = null;
  trace.addEventListener("pointerdown", (event) => {
    trace.setPointerCapture(event.pointerId);
    held = "trace";
    stop();
    go(event.offsetX / trace.clientWidth * lastFrame);
  });
  stage.addEventListener("pointerdown", (event) => {
    stage.setPointerCapture(event.pointerId);
    held = { x: event.clientX, frame };
    stop();
  });
  const move = (event) => {
    if (held === "trace") go(event.offsetX / trace.clientWidth * lastFrame);
    else if (held) go(held.frame + (event.clientX - held.x) / Math.max(1, stage.clientWidth) * lastFrame);
  };
  for (const canvas of [trace, stage]) {
    canvas.addEventListener("pointermove", move);
    for (const end of ["pointerup", "pointercancel"]) canvas.addEventListener(end, () => { held = null; });
  }

  document.documentElement.classList.add("live");
  scrub.max = String(lastFrame);
  const again = () => { measure(); draw(); };
  new ResizeObserver(again).observe(stage.parentElement);
  dark.addEventListener("change", again);
  again();
})();
