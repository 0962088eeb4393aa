// What is seen of a page: letters, targets and pictures on the screen.

/** Letters too small, things that stick out, targets too small for a thumb. */
export const layout = (page) => page.evaluate(() => {
  const faults = [], walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  let letters = 0;
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const said = node.textContent.trim(), parent = node.parentElement;
    if (!said || !parent.checkVisibility() || parent.closest("script, style, title, desc, option")) continue;
    const svg = parent.ownerSVGElement, scale = svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1;
    const size = parseFloat(getComputedStyle(parent).fontSize) * scale;
    letters += said.length;
    if (size < 10.9) faults.push(`«${said.slice(0, 30)}» is ${size.toFixed(2)} px`);
  }
  const wide = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth > wide) faults.push(`the page is ${document.documentElement.scrollWidth} wide in ${wide}`);
  for (const element of document.querySelectorAll("header, main, footer, main *, header *")) {
    if (!element.checkVisibility() || element.closest(".events, svg")) continue;
    const box = element.getBoundingClientRect();
    if (box.width > 0 && (box.right > wide + 1 || box.left < -1)) faults.push(`${element.tagName}.${element.className}#${element.id} sticks out to ${box.right.toFixed(0)}`);
  }
  let targets = 0;
  for (const element of document.querySelectorAll("button, select, a.button, summary, input")) {
    if (!element.checkVisibility()) continue;
    targets += 1;
    const box = element.getBoundingClientRect();
    if (box.width < 43.9 || box.height < 43.9) faults.push(`${element.tagName}.${element.className}#${element.id} «${element.textContent.slice(0, 20)}» is ${box.width.toFixed(0)} × ${box.height.toFixed(0)}`);
    if (element.scrollWidth > element.clientWidth + 2 && element.tagName === "BUTTON") faults.push(`«${element.textContent}» is cut`);
  }
  // Words of a picture that lie on one another.
  for (const svg of document.querySelectorAll("svg")) {
    const boxes = [...svg.querySelectorAll("text")].map((t) => [t.textContent, t.getBoundingClientRect()]).filter(([, b]) => b.width > 0);
    boxes.forEach(([one, a], i) => boxes.slice(i + 1).forEach(([two, b]) => {
      const across = Math.min(a.right, b.right) - Math.max(a.left, b.left), down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (across > 3 && down > 5) faults.push(`«${one}» lies on «${two}»`);
    }));
  }
  if (letters < 1500 || targets < 15) faults.push(`only ${letters} letters and ${targets} targets seen`);
  return faults.slice(0, 8);
});
