// @ts-check
/** What of the drainage is put on the plan by taps, and how it is begun. */

/** What a tap or a line puts on the plan. @type {Record<string, {list: string, label: string, points: number, id: string, entry: any}>} */
export const THINGS = {
  "put-drain": { list: "ways_out.inlets", label: "Area drain", points: 1, id: "drain", entry: { kind: "area-drain" } },
  "put-channel": { list: "ways_out.inlets", label: "Channel drain", points: 2, id: "channel", entry: { kind: "channel-drain" } },
  "put-pipe": { list: "ways_out.pipes", label: "Pipe", points: 2, id: "pipe", entry: { diameter: "4 in", material: "smooth plastic pipe" } },
  "put-well": { list: "ways_out.stores", label: "Dry well", points: 1, id: "dry-well", entry: { kind: "dry-well" } },
  "put-outlet": { list: "ways_out.outlets", label: "Outlet", points: 1, id: "outlet", entry: { kind: "pop-up" } },
  "put-edge": { list: "ways_out.overflow_edges", label: "Overflow edge", points: 2, id: "edge", entry: { onto: "own land" } },
};
