// Colours of a picture: sRGB (IEC 61966-2-1) to CIELAB under D65, as the studio's own names use them.
const LINEAR = Float64Array.from({ length: 256 }, (_, byte) => {
  const v = byte / 255;
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
});
// The matrix of the standard, and the white that it gives for (1, 1, 1).
const XYZ = [
  [0.4124, 0.3576, 0.1805],
  [0.2126, 0.7152, 0.0722],
  [0.0193, 0.1192, 0.9505],
];
const WHITE = XYZ.map((row) => row[0] + row[1] + row[2]);
const root = (t) => (t > 216 / 24389 ? Math.cbrt(t) : (24389 / 27 * t + 16) / 116);

export function lab(r, g, b) {
  const light = [LINEAR[r], LINEAR[g], LINEAR[b]];
  const [x, y, z] = XYZ.map((row, at) => root((row[0] * light[0] + row[1] * light[1] + row[2] * light[2]) / WHITE[at]));
  return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
}

export const hex = (r, g, b) => `#${[r, g, b].map((v) => v.toString(16).padStart(2, "0")).join("")}`;

// Colours within this distance (CIE 1976) are one colour to the eye on mottled cloth.
const NEAR = 8;

// The CIELAB of every pixel of a picture, thinned to some ten thousand.
export function sampled(image) {
  const step = Math.max(1, Math.floor(image.data.length / 4 / 12000));
  const all = [];
  for (let at = 0; at < image.data.length; at += 4 * step) {
    if (image.data[at + 3]) all.push(lab(image.data[at], image.data[at + 1], image.data[at + 2]));
  }
  return all;
}

// The mean light of a small disc of a picture, as bytes: what an eye sees of a place, not one thread of it.
export function mean(pen, px, py) {
  const size = 2 * DISC + 1;
  const { data } = pen.getImageData(px - DISC, py - DISC, size, size);
  const sum = [0, 0, 0];
  let count = 0;
  for (let at = 0; at < data.length; at += 4) {
    const [x, y] = [(at / 4) % size - DISC, Math.floor(at / 4 / size) - DISC];
    if (!data[at + 3] || x * x + y * y > DISC * DISC) continue;
    for (const c of [0, 1, 2]) sum[c] += LINEAR[data[at + c]];
    count += 1;
  }
  const byte = (v) => Math.round(255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055));
  return sum.map((v) => byte(v / Math.max(count, 1)));
}
const DISC = 4;

// Share of the samples near a colour, 0..1.
export function share(samples, [l, a, b]) {
  const near = samples.filter((s) => (s[0] - l) ** 2 + (s[1] - a) ** 2 + (s[2] - b) ** 2 < NEAR ** 2);
  return samples.length ? near.length / samples.length : 0;
}
