// Large scans, made on the spot: a rough ball of so many triangles, in each format.

/** Formats with their file's ending. */
export const FORMATS = {
  "STL, binary": "stl",
  "STL, text": "stl",
  OBJ: "obj",
  "PLY, binary": "ply",
  "PLY, text": "ply",
};

/** Points and triangles of a closed rough ball, about `triangles` of them. */
function ball(triangles) {
  const rows = Math.round(Math.sqrt(triangles / 4));
  const columns = 2 * rows;
  const points = new Float32Array(3 * ((rows - 1) * columns + 2));
  let seed = 1;
  const place = (index, polar, round) => {
    // A linear congruential generator (Numerical Recipes): the same ball every time.
    seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
    const radius = 200 + (seed / 2 ** 32) * 0.4;
    points.set(
      [
        radius * Math.sin(polar) * Math.cos(round),
        radius * Math.sin(polar) * Math.sin(round),
        radius * Math.cos(polar),
      ],
      3 * index,
    );
  };
  const faces = [];
  const at = (row, column) => {
    if (row === 0) return 0;
    if (row === rows) return 1;
    return 2 + (row - 1) * columns + (column % columns);
  };
  place(0, 0, 0);
  place(1, Math.PI, 0);
  for (let row = 1; row < rows; row += 1) {
    for (let column = 0; column < columns; column += 1) {
      place(at(row, column), (row / rows) * Math.PI, (column / columns) * 2 * Math.PI);
    }
  }
  for (let row = 0; row < rows; row += 1) {
    for (let column = 0; column < columns; column += 1) {
      const [a, b] = [at(row, column), at(row + 1, column)];
      const [c, d] = [at(row + 1, column + 1), at(row, column + 1)];
      if (row < rows - 1) faces.push([a, b, c]);
      if (row > 0) faces.push([a, c, d]);
    }
  }
  return { points, faces };
}

/** The parts of a file, to be written one after the other. */
export function* scan(format, triangles) {
  const { points, faces } = ball(triangles);
  const point = (index) => points.subarray(3 * index, 3 * index + 3);
  // Seven figures, as scanning apps write them.
  const words = (index) => Array.from(point(index), (along) => along.toPrecision(7)).join(" ");
  const count = points.length / 3;
  const head = (kind) =>
    `ply\nformat ${kind} 1.0\nelement vertex ${count}\nproperty float x\nproperty float y\n` +
    `property float z\nelement face ${faces.length}\n` +
    "property list uchar int vertex_indices\nend_header\n";
  if (format === "STL, binary") {
    const bytes = Buffer.alloc(84 + 50 * faces.length);
    bytes.writeUInt32LE(faces.length, 80);
    faces.forEach((face, row) =>
      face.forEach((corner, place) =>
        point(corner).forEach((along, axis) =>
          bytes.writeFloatLE(along, 84 + 50 * row + 12 * (place + 1) + 4 * axis),
        ),
      ),
    );
    yield bytes;
  } else if (format === "PLY, binary") {
    const bytes = Buffer.alloc(12 * count + 13 * faces.length);
    points.forEach((along, index) => bytes.writeFloatLE(along, 4 * index));
    faces.forEach((face, row) => {
      bytes.writeUInt8(3, 12 * count + 13 * row);
      face.forEach((corner, place) =>
        bytes.writeInt32LE(corner, 12 * count + 13 * row + 1 + 4 * place),
      );
    });
    yield head("binary_little_endian");
    yield bytes;
  } else {
    const [before, vertex, facet, after] = {
      "STL, text": [
        "solid ball\n",
        undefined,
        ([a, b, c]) =>
          `facet normal 0 0 0\nouter loop\nvertex ${words(a)}\nvertex ${words(b)}\n` +
          `vertex ${words(c)}\nendloop\nendfacet\n`,
        "endsolid\n",
      ],
      OBJ: [
        "o ball\n",
        (index) => `v ${words(index)}\n`,
        ([a, b, c]) => `f ${a + 1} ${b + 1} ${c + 1}\n`,
        "",
      ],
      "PLY, text": [
        head("ascii"),
        (index) => `${words(index)}\n`,
        (face) => `3 ${face.join(" ")}\n`,
        "",
      ],
    }[format];
    yield before;
    for (let index = 0; vertex && index < count; index += 1) yield vertex(index);
    for (const face of faces) yield facet(face);
    yield after;
  }
}
