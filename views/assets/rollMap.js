// Comfort for the roll map: dragging over the picture fills the form, and what is typed is shown on the picture.
// Without this file the numbers are typed. Metres to whole metres, millimetres to whole millimetres.
const editor = document.querySelector('.mapEditor');
const svg = editor?.querySelector('svg.field');
const frame = svg?.querySelector('rect.frame');
const field = (name) => document.getElementById(`i-${name}`);

if (editor && svg && frame) {
  const lengthM = Number(editor.dataset.lengthM);
  const widthMm = Number(editor.dataset.widthMm);
  const box = Object.fromEntries(
    ['x', 'y', 'width', 'height'].map((name) => [name, Number(frame.getAttribute(name))]),
  );
  const draft = document.createElementNS('http://www.w3.org/2000/svg', 'rect');
  draft.setAttribute('class', 'draft');
  svg.append(draft);
  document.getElementById('drag-help').hidden = false;

  const number = (name, otherwise) => {
    const text = field(name).value.trim();
    const value = Number(text.replace(',', '.'));
    return text === '' || !Number.isFinite(value) ? otherwise : value;
  };
  const within = (value, most) => Math.min(Math.max(value, 0), most);

  const drawDraft = () => {
    const nothing = ['fromMm', 'toMm', 'fromUm', 'toUm'].every((name) => field(name).value.trim() === '');
    const [top, bottom] = [number('fromMm', 0), number('toMm', lengthM)].map(
      (m) => within(m, lengthM) / lengthM,
    );
    const [left, right] = [number('fromUm', 0), number('toUm', widthMm)].map(
      (mm) => within(mm, widthMm) / widthMm,
    );
    draft.setAttribute('x', box.x + left * box.width);
    draft.setAttribute('y', box.y + top * box.height);
    draft.setAttribute('width', nothing ? 0 : Math.max(3, (right - left) * box.width));
    draft.setAttribute('height', nothing ? 0 : Math.max(3, (bottom - top) * box.height));
  };

  /** Where the pointer is on the roll: whole metres along, whole millimetres across. */
  const placeOf = (event) => {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return {
      metres: Math.round(within((point.y - box.y) / box.height, 1) * lengthM),
      mm: Math.round(within((point.x - box.x) / box.width, 1) * widthMm),
    };
  };

  let start = null;
  const fill = (event) => {
    const now = placeOf(event);
    const [fromM, toM] = [start.metres, now.metres].sort((a, b) => a - b);
    const [fromMm, toMm] = [start.mm, now.mm].sort((a, b) => a - b);
    field('fromMm').value = fromM;
    field('toMm').value = toM >= lengthM ? '' : Math.max(toM, fromM + 1);
    field('fromUm').value = fromMm;
    field('toUm').value = toMm >= widthMm ? '' : Math.max(toMm, fromMm + 1);
    drawDraft();
  };
  svg.addEventListener('pointerdown', (event) => {
    const inside = event.target.closest('rect.web, .bad-place, rect.draft');
    if (!inside || event.button !== 0) return;
    event.preventDefault();
    start = placeOf(event);
    svg.setPointerCapture(event.pointerId);
  });
  svg.addEventListener('pointermove', (event) => {
    if (start) fill(event);
  });
  svg.addEventListener('pointerup', (event) => {
    if (!start) return;
    fill(event);
    start = null;
    field('kind').focus();
  });
  svg.addEventListener('pointercancel', () => {
    start = null;
  });
  for (const name of ['fromMm', 'toMm', 'fromUm', 'toUm']) field(name).addEventListener('input', drawDraft);
  drawDraft();
}
