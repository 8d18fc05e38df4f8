// The live line to the server, and whether what the page shows may be believed.
//
// The page sends its own clock's stamp; the server sends it back. The page is live only while the newest stamp
// that came back is younger than STALE_MS by the page's own clock: what was held up on the way, or answered before
// the phone slept, proves nothing. Everything else only makes it stop sooner.

export const STALE_MS = 1700;
const BEAT_MS = 400;
const AGAIN_MS = 500;
const OPENS_WITHIN_MS = 4000;
export const WITHDRAWN = 4401;

// performance.now may stand still while a phone sleeps, the time of day may be set: the larger step counts.
let lastPerformance = performance.now();
let lastDate = Date.now();
let counted = 0;

export function clockMs() {
  const p = performance.now();
  const d = Date.now();
  counted += Math.max(p - lastPerformance, d - lastDate, 0);
  lastPerformance = p;
  lastDate = d;
  return counted;
}

export class Line {
  constructor(hear, look) {
    this.hear = hear;
    this.look = look;
    this.socket = null;
    this.proved = -1e12; // the newest stamp that came back with a run behind it
    this.back = -1e12; // the newest that came back at all
    this.believed = false;
    this.hasState = false;
    this.lostAt = clockMs();
    this.closedFor = null;
    this.clock = null;
    this.opened = 0;
    this.stopped = true;
    this.timer = 0;
    document.addEventListener("visibilitychange", () => this.seen());
    window.addEventListener("pageshow", () => this.seen());
    window.addEventListener("pagehide", () => this.doubt());
    document.addEventListener("freeze", () => this.doubt());
    window.addEventListener("online", () => this.connect());
    window.addEventListener("offline", () => this.doubt());
  }

  start() {
    this.stopped = false;
    this.connect();
    this.timer = setInterval(() => this.beat(), BEAT_MS / 4);
  }

  stop() {
    this.stopped = true;
    clearInterval(this.timer);
    if (this.socket) this.socket.close();
    this.socket = null;
    this.doubt();
  }

  isLive() {
    return this.believed && this.hasState && !document.hidden && clockMs() - this.proved < STALE_MS;
  }

  // Nothing is believed until a new stamp comes back.
  doubt() {
    if (this.isLiveBefore) this.lostAt = clockMs();
    this.proved = -1e12;
    this.isLiveBefore = false;
    this.look();
  }

  seen() {
    this.doubt();
    if (!document.hidden) {
      if (!this.socket || this.socket.readyState > 1) this.connect();
      this.speak();
    }
  }

  connect() {
    if (this.stopped || (this.socket && this.socket.readyState < 2)) return;
    this.hasState = false;
    this.opened = clockMs();
    let socket;
    try {
      socket = new WebSocket(`wss://${location.host}/live`);
    } catch {
      this.again();
      return;
    }
    this.socket = socket;
    socket.onopen = () => this.speak();
    socket.onmessage = (message) => {
      if (socket === this.socket) this.take(message.data);
    };
    socket.onclose = (event) => {
      if (socket !== this.socket) return;
      this.socket = null;
      this.hasState = false;
      this.doubt();
      if (event.code === WITHDRAWN) this.hear({ k: "withdrawn" });
      else this.again();
    };
  }

  again() {
    setTimeout(() => {
      if (this.stopped) return;
      this.hear({ k: "again" });
      this.connect();
    }, AGAIN_MS * (0.75 + Math.random() / 2));
  }

  take(text) {
    const told = JSON.parse(text);
    if (told.k === "beat") {
      const now = clockMs();
      if (typeof told.n === "number" && told.n <= now) {
        this.back = Math.max(this.back, told.n);
        if (told.live) this.proved = Math.max(this.proved, told.n);
        this.believed = told.live;
        if ("t" in told) {
          const trip = now - told.n;
          if (!this.clock || trip < this.clock.trip + 30 || now - this.clock.at > 5000 || told.speed !== this.clock.speed)
            this.clock = { at: now - trip / 2, t: told.t, speed: told.speed, wall: told.wall, trip };
        } else this.clock = null;
      }
    } else {
      if (told.k === "state") this.hasState = true;
      this.hear(told);
    }
    this.check();
  }

  // The run's clock now, in ms; null while no run is followed.
  runMs() {
    const c = this.clock;
    return c && c.t + (clockMs() - c.at) * c.speed;
  }

  wallMs() {
    const c = this.clock;
    return c && c.wall + (clockMs() - c.at) * c.speed;
  }

  beat() {
    const now = clockMs();
    if (now - (this.spoke || 0) >= BEAT_MS) this.speak();
    if (this.socket && this.socket.readyState === 0 && now - this.opened > OPENS_WITHIN_MS) {
      this.socket.onclose = null;
      this.socket.close();
      this.socket = null;
      this.again();
    } else if (this.socket && this.socket.readyState === 1 && now - Math.max(this.back, this.opened) > 6000) {
      const old = this.socket; // nothing comes back: a new line may do better
      this.socket = null;
      old.onclose = null;
      old.close();
      this.again();
    }
    this.check();
  }

  speak() {
    if (!this.socket || this.socket.readyState !== 1) return;
    this.spoke = clockMs();
    if (this.socket.bufferedAmount < 4096) this.socket.send(JSON.stringify({ k: "here", n: this.spoke }));
  }

  send(said) {
    if (!this.isLive() || !this.socket || this.socket.readyState !== 1) return false;
    this.socket.send(JSON.stringify(said));
    return true;
  }

  check() {
    const live = this.isLive();
    if (live !== this.isLiveBefore) {
      if (!live) this.lostAt = clockMs();
      this.isLiveBefore = live;
    }
    this.look();
  }
}
