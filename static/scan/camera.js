/**
 * The camera as a source of pictures: started, looked at one picture at a time, stopped.
 */
import { codeIn, pixelsOf } from "./reader.js";

/** @import { Found, Picked } from "./reader.js" */

/** A pause between two pictures, so that the page stays usable. */
const PAUSE_MS = 120;

/**
 * Show the camera in a video element.
 *
 * @param {HTMLVideoElement} video
 * @returns {Promise<() => void>} what turns the camera off again
 */
export async function startCamera(video) {
  const stream = await navigator.mediaDevices.getUserMedia({
    video: { facingMode: "environment", width: { ideal: 1280 } },
  });
  video.srcObject = stream;
  await video.play();
  return () => {
    for (const track of stream.getTracks()) track.stop();
    video.srcObject = null;
  };
}

/**
 * Look until a code is found or nobody wants one any more; one picture at a time.
 *
 * @param {HTMLVideoElement} video
 * @param {() => boolean} goesOn
 * @param {Picked} pick
 * @param {(found: Found) => void} onLook told of each picture
 * @returns {Promise<string | null>}
 */
export async function watchFor(video, goesOn, pick, onLook) {
  while (goesOn()) {
    if (video.videoWidth > 0) {
      const found = await codeIn(pixelsOf(video, video.videoWidth, video.videoHeight), pick);
      onLook(found);
      if (found.code !== null) return found.code;
    }
    await new Promise((done) => setTimeout(done, PAUSE_MS));
  }
  return null;
}
