// The family of rolls as a picture: columns from the supplier's lot to the customer, a box for each roll, a line from
// each to what was made of it. Pure view model in SVG user units; views/_familyPicture.ejs draws it. A column that would be
// too long ends in a box that counts the rest, to which the lines of the rest lead.
import { shorten } from './pictureText.ts';

export interface FamilyNode {
  id: string;
  /** Ids in the column before. */
  from: string[];
  label: string;
  sub: string;
  href?: string | undefined;
  /** Where the question began. */
  here?: boolean;
}

interface PlacedNode {
  x: number;
  y: number;
  label: string;
  sub: string;
  title: string;
  href: string | undefined;
  here: boolean;
}

export interface FamilyPicture {
  width: number;
  height: number;
  boxWidth: number;
  boxHeight: number;
  heads: { x: number; text: string }[];
  nodes: PlacedNode[];
  lines: string[];
}

export interface FamilyColumn {
  head: string;
  nodes: FamilyNode[];
}

const BOX_WIDTH = 196;
const BOX_HEIGHT = 38;
const GAP = 9;
const BETWEEN = 54;
const TOP = 26;
const MOST = 12;
const PAD = 9;

/** Draws the columns; empty ones are left out. */
export function drawFamily(columns: readonly FamilyColumn[]): FamilyPicture {
  const shown = columns.filter(({ nodes }) => nodes.length > 0).map(shortened);
  const tallest = Math.max(1, ...shown.map(({ nodes }) => nodes.length));
  const height = TOP + tallest * (BOX_HEIGHT + GAP);
  const places = new Map<string, { x: number; y: number }>();
  const lines = new Set<string>();
  const nodes: PlacedNode[] = [];
  shown.forEach((column, i) => {
    const x = i * (BOX_WIDTH + BETWEEN);
    const start = TOP + ((tallest - column.nodes.length) * (BOX_HEIGHT + GAP)) / 2;
    column.nodes.forEach((node, row) => {
      const y = start + row * (BOX_HEIGHT + GAP);
      for (const id of node.ids) places.set(id, { x, y });
      for (const from of node.from) {
        const place = places.get(from);
        if (place) lines.add(lineBetween(place, { x, y }));
      }
      nodes.push(placed(node, x, y));
    });
  });
  return {
    width: Math.max(1, shown.length) * (BOX_WIDTH + BETWEEN) - BETWEEN,
    height,
    boxWidth: BOX_WIDTH,
    boxHeight: BOX_HEIGHT,
    heads: shown.map(({ head }, i) => ({ x: i * (BOX_WIDTH + BETWEEN), text: head })),
    nodes,
    lines: [...lines],
  };
}

interface ShownNode extends FamilyNode {
  ids: string[];
}

function shortened({ head, nodes }: FamilyColumn): { head: string; nodes: ShownNode[] } {
  const alone = nodes.map((node) => ({ ...node, ids: [node.id] }));
  if (nodes.length <= MOST) return { head, nodes: alone };
  const rest = nodes.slice(MOST - 1);
  const together: ShownNode = {
    id: `rest of ${head}`,
    ids: rest.map(({ id }) => id),
    from: rest.flatMap(({ from }) => from),
    label: `and ${rest.length} more`,
    sub: 'listed below',
    here: rest.some(({ here }) => here),
  };
  return { head, nodes: [...alone.slice(0, MOST - 1), together] };
}

function placed(node: ShownNode, x: number, y: number): PlacedNode {
  return {
    x,
    y,
    label: shorten(node.label, 'main', BOX_WIDTH - 2 * PAD),
    sub: shorten(node.sub, 'small', BOX_WIDTH - 2 * PAD),
    title: `${node.label}, ${node.sub}`,
    href: node.href,
    here: node.here ?? false,
  };
}

function lineBetween(from: { x: number; y: number }, to: { x: number; y: number }): string {
  const [x1, x2] = [from.x + BOX_WIDTH, to.x];
  const [y1, y2] = [from.y + BOX_HEIGHT / 2, to.y + BOX_HEIGHT / 2];
  const half = (x1 + x2) / 2;
  return `M${x1} ${y1}C${half} ${y1} ${half} ${y2} ${x2} ${y2}`;
}
