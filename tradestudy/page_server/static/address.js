// The state of this tab in its address, so that a reload keeps it: the wing, the pinned wings, the edited keys.

export function readAddress() {
  const parts = new URLSearchParams(location.hash.slice(1));
  const read = (name, otherwise) => {
    try {
      return JSON.parse(parts.get(name)) ?? otherwise;
    } catch (error) {
      return otherwise;
    }
  };
  const wing = read("wing", null), pins = read("pins", []), keys = read("keys", {});
  return {
    wing: isWing(wing) ? wing : null,
    best: parts.get("speed") === "best",
    pins: Array.isArray(pins) ? pins.filter(isWing).slice(0, 4) : [],
    keys: isPlain(keys) ? keys : {},
  };
}

export function writeAddress({ wing, best, pins, keys }) {
  const parts = new URLSearchParams({ wing: JSON.stringify(wing) });
  if (best) parts.set("speed", "best");
  if (pins.length) parts.set("pins", JSON.stringify(pins));
  if (Object.keys(keys).length) parts.set("keys", JSON.stringify(keys));
  history.replaceState(null, "", `#${parts}`);
}

const isPlain = (value) => typeof value === "object" && value !== null && !Array.isArray(value);
const isWing = (value) => isPlain(value) && isPlain(value.choice) && isPlain(value.variables);
