// A picture for a job: drawn anew, small and upright, so that nothing of the camera's notes (place, time, owner) goes along.
(function () {
  "use strict";
  const Sparkgap = (globalThis.Sparkgap = globalThis.Sparkgap || {});
  const MAX_FILE = 25 * 1024 * 1024;
  const MAX_PIXELS = 120e6;
  const MAX_COPY = 150 * 1024;
  const SIDES = [1280, 1024, 800, 640, 480];
  const QUALITIES = [0.82, 0.7, 0.55];

  class PictureRefused extends Error {}

  function jpegSize(view) {
    for (let at = 2; at + 9 < view.byteLength;) {
      if (view.getUint8(at) !== 0xff) return null;
      const marker = view.getUint8(at + 1);
      if (marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker)) return view.getUint16(at + 5) * view.getUint16(at + 7);
      at += 2 + view.getUint16(at + 2);
    }
    return null;
  }

  /* The pixels that the head of a JPEG or PNG promises, or null: a small file may unfold to gigabytes. */
  function pixels(buffer) {
    const view = new DataView(buffer);
    if (view.byteLength > 24 && view.getUint32(0) === 0x89504e47) return view.getUint32(16) * view.getUint32(20);
    if (view.byteLength > 4 && view.getUint16(0) === 0xffd8) return jpegSize(view);
    return null;
  }

  async function opened(file) {
    if (file.size > MAX_FILE) throw new PictureRefused("is larger than 25 MB: take a smaller picture");
    if ((pixels(await file.slice(0, 512 * 1024).arrayBuffer()) || 0) > MAX_PIXELS) {
      throw new PictureRefused("has more than 120 million pixels: take a smaller picture");
    }
    try {
      return await createImageBitmap(file, { imageOrientation: "from-image" });
    } catch {
      throw new PictureRefused("is no picture that this browser can read");
    }
  }

  function drawn(picture, side) {
    const scale = Math.min(1, side / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(picture.width * scale));
    canvas.height = Math.max(1, Math.round(picture.height * scale));
    const context = canvas.getContext("2d");
    context.fillStyle = "#fff"; // what is transparent would be black
    context.fillRect(0, 0, canvas.width, canvas.height);
    context.drawImage(picture, 0, 0, canvas.width, canvas.height);
    return canvas;
  }

  function encoded(canvas, quality) {
    const data = canvas.toDataURL("image/jpeg", quality);
    return data.startsWith("data:image/jpeg;base64,") ? data : null;
  }

  /* {data, width, height} of a small copy of at most 150 KB. Throws PictureRefused with what is wrong with the file. */
  async function small(file) {
    const picture = await opened(file);
    try {
      for (const side of SIDES) {
        const canvas = drawn(picture, side);
        for (const quality of QUALITIES) {
          const data = encoded(canvas, quality);
          if (!data) throw new PictureRefused("cannot be drawn by this browser");
          if (data.length * 0.75 <= MAX_COPY) return { data, width: canvas.width, height: canvas.height };
        }
      }
    } finally {
      picture.close();
    }
    throw new PictureRefused("cannot be made small enough: take a plainer one");
  }

  /* A name for the copy that no other picture of the job has, made of the file's own as far as that is plain. */
  function nameFor(file, photos) {
    const plain = file.name.replace(/\.[^.]*$/, "").replace(/[^A-Za-z0-9._-]+/g, "-").replace(/^[^A-Za-z0-9]+/, "").slice(0, 60) || "photo";
    const taken = new Set(photos.map((photo) => photo.name.toLowerCase()));
    let name = plain + ".jpg";
    for (let n = 2; taken.has(name.toLowerCase()); n += 1) name = plain + "-" + n + ".jpg";
    return name;
  }

  Sparkgap.jobPicture = { PictureRefused, small, nameFor, pixels, MAX_COPY };
})();
