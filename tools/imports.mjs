// Short names for what a module imports: the long ones are there for people who debug,
// and each ends in a hash that no packer can shrink.
//
// The layout is that of the WebAssembly core specification, "Binary Format": a module
// is eight bytes and then sections of (id, length, contents); section 2 lists imports.

const IMPORTS = 2;

/** Reads a LEB128 number: [value, where it ends]. */
function number(bytes, at) {
  let value = 0;
  for (let shift = 0; ; shift += 7) {
    const byte = bytes[at++];
    value += (byte & 127) * 2 ** shift;
    if (byte < 128) return [value, at];
  }
}

/** Writes a LEB128 number, as a list of bytes. */
function written(value) {
  return value < 128 ? [value] : [(value & 127) | 128, ...written(Math.floor(value / 128))];
}

/** Where a name (a length and so many bytes) ends. */
function nameEnd(bytes, at) {
  const [length, start] = number(bytes, at);
  return start + length;
}

/** Where the description of an import ends. */
function descriptionEnd(bytes, at) {
  const limitsEnd = (from) => {
    const least = number(bytes, from + 1)[1];
    return bytes[from] & 1 ? number(bytes, least)[1] : least;
  };
  switch (bytes[at]) {
    case 0:
      return number(bytes, at + 1)[1];
    case 1:
      return limitsEnd(at + 2);
    case 2:
      return limitsEnd(at + 1);
    case 3:
      return at + 3;
    default:
      throw new Error(`The module imports something of an unknown kind: ${bytes[at]}.`);
  }
}

/** A short name of its own for each number: a … z, then aa, ab … */
function shortName(index) {
  const letter = String.fromCharCode(97 + (index % 26));
  return index < 26 ? letter : shortName(Math.floor(index / 26) - 1) + letter;
}

/** The module with short names of its imports, and those names by the long ones. */
export function shortenImports(module) {
  const names = new Map();
  const parts = [module.subarray(0, 8)];
  for (let at = 8; at < module.length; ) {
    const [length, start] = number(module, at + 1);
    const end = start + length;
    if (module[at] === IMPORTS) {
      const contents = shortened(module.subarray(start, end), names);
      parts.push(Buffer.from([IMPORTS, ...written(contents.length)]), contents);
    } else {
      parts.push(module.subarray(at, end));
    }
    at = end;
  }
  return { module: Buffer.concat(parts), names };
}

/** The contents of the section with short names, which go into `names`. */
function shortened(section, names) {
  let [count, at] = number(section, 0);
  const parts = [section.subarray(0, at)];
  for (; count > 0; count -= 1) {
    const origin = nameEnd(section, at);
    const [length, start] = number(section, origin);
    const long = section.toString("latin1", start, start + length);
    if (!names.has(long)) names.set(long, shortName(names.size));
    const end = descriptionEnd(section, start + length);
    const short = Buffer.from(names.get(long));
    parts.push(section.subarray(at, origin), Buffer.from(written(short.length)), short);
    parts.push(section.subarray(start + length, end));
    at = end;
  }
  return Buffer.concat(parts);
}
