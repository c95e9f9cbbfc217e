// What a strip of left-over width is worth: the catalogue widths that fill it best, side by side, by value. A knapsack over
// whole mm (widths rounded up, the left-over down, so that what is proposed can be cut).

export interface Fill {
  /** Places in the list of catalogue widths, one for each strip. */
  items: number[];
  value: number;
}

/** The best filling of `widthUm` by these widths, at most `mostStrips` side by side. */
export function bestFill(
  widthUm: number,
  catalogue: readonly { widthUm: number; value: number }[],
  mostStrips = Number.POSITIVE_INFINITY,
): Fill {
  const room = Math.floor(widthUm / 1000 + 1e-9);
  const sizes = catalogue.map((one) => Math.ceil(one.widthUm / 1000 - 1e-9));
  const best: Fill[] = [{ items: [], value: 0 }];
  for (let mm = 1; mm <= room; mm++) {
    let fill = best[mm - 1] as Fill;
    sizes.forEach((size, k) => {
      const before = size > 0 && size <= mm ? best[mm - size] : undefined;
      if (!before || before.items.length + 1 > mostStrips) return;
      const value = before.value + (catalogue[k]?.value ?? 0);
      if (value > fill.value + 1e-9) fill = { items: [...before.items, k], value };
    });
    best.push(fill);
  }
  return best[room] ?? { items: [], value: 0 };
}
