// @ts-check
// The beeper's sound, which is off until it is switched on; what it says is always shown as well.

export function makeTone() {
  let isOn = false;
  /** @type {AudioContext | null} */
  let context = null;
  return {
    isOn: () => isOn,
    /** @param {boolean} on */
    set: (on) => {
      isOn = on;
      if (on && typeof AudioContext !== "undefined") context ??= new AudioContext();
    },
    sound: () => {
      if (!isOn || context === null) return;
      const tone = context.createOscillator();
      const loud = context.createGain();
      loud.gain.value = 0.08;
      tone.frequency.value = 2000;
      tone.connect(loud).connect(context.destination);
      tone.start();
      tone.stop(context.currentTime + 0.35);
    },
  };
}
