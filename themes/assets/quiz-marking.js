// The order of a try and the rules of marking, as package procedure/quiz states
// them: the two give the same order and the same score, and a test compares them.
// The quiz is the page's JSON: {pass, seed, questions: [{id, kind, points,
// critical, choices, chosen, number, target}]}; answers are {chosen, number, unit, target}.
(function (scope) {
  "use strict";
  var FALLBACK = 2463534242;

  function mix(x) {
    x ^= x >>> 16;
    x = Math.imul(x, 0x85ebca6b);
    x ^= x >>> 13;
    x = Math.imul(x, 0xc2b2ae35);
    return (x ^ (x >>> 16)) >>> 0;
  }

  // 32-bit xorshift (13, 17, 5); below(n) gives 0 to n-1.
  function generator(seed, attempt) {
    var state = mix((seed + Math.imul(attempt, 0x9e3779b9)) | 0) || FALLBACK;
    return function below(n) {
      state ^= state << 13;
      state ^= state >>> 17;
      state ^= state << 5;
      return Math.floor(((state >>> 0) * n) / 4294967296);
    };
  }

  function shuffle(items, below) {
    for (var i = items.length - 1; i > 0; i--) {
      var j = below(i + 1), kept = items[i];
      items[i] = items[j];
      items[j] = kept;
    }
  }

  function count(n) {
    var out = [];
    for (var i = 0; i < n; i++) out.push(i);
    return out;
  }

  // arrange returns [{question, choices}] in the order of a try, both from 0.
  function arrange(quiz, attempt) {
    var below = generator(quiz.seed, attempt);
    var order = count(quiz.questions.length);
    if (quiz.seed !== 0) shuffle(order, below);
    return order.map(function (index) {
      var question = quiz.questions[index], choices = count(question.choices);
      if (quiz.seed !== 0 || question.kind === "order") shuffle(choices, below);
      if (question.kind === "order" && choices.every(function (c, i) { return c === i; })) {
        choices.push(choices.shift());
      }
      return { question: index, choices: choices };
    });
  }

  // A decimal as an exact fraction [numerator, denominator].
  function decimal(text) {
    var at = text.indexOf(".");
    if (at < 0) return [BigInt(text), BigInt(1)];
    var decimals = text.length - at - 1;
    return [BigInt(text.replace(".", "")), BigInt("1" + "0".repeat(decimals))];
  }

  function times(a, b) { return [a[0] * b[0], a[1] * b[1]]; }
  function plus(a, b) { return [a[0] * b[1] + b[0] * a[1], a[1] * b[1]]; }
  function atMost(a, b) { return a[0] * b[1] <= b[0] * a[1]; }

  // A unit's factor: a decimal, or two with a slash between them.
  function ratio(text) {
    var parts = text.split("/"), over = decimal(parts[0]);
    if (parts.length < 2) return over;
    var under = decimal(parts[1]);
    return [over[0] * under[1], over[1] * under[0]];
  }

  // typed returns a typed number in plain digits with a decimal point; null when it is none.
  function typed(text) {
    text = String(text || "").trim().replace("\u2212", "-");
    if (!/^[+-]?[0-9]+([.,][0-9]+)?$/.test(text) || text.replace(/^[+-]/, "").length > 16) return null;
    return text.replace(/^\+/, "").replace(",", ".");
  }

  function rightNumber(number, answer) {
    function inBase(text, symbol) {
      var unit = number.units.filter(function (u) { return u.symbol === symbol; })[0];
      if (!unit) return null;
      var value = times(decimal(text), ratio(unit.factor));
      return unit.zero ? plus(value, ratio(unit.zero)) : value;
    }
    var text = typed(answer.number);
    var given = text === null ? null : inBase(text, answer.unit);
    if (!given) return false;
    return atMost(inBase(number.low, number.unit), given) && atMost(given, inBase(number.high, number.unit));
  }

  function same(a, b) {
    return a.length === b.length && a.every(function (x, i) { return x === b[i]; });
  }

  // right reports whether an answer, or null for none, is right.
  function right(question, answer) {
    if (!answer) return false;
    if (question.kind === "number") return rightNumber(question.number, answer);
    if (question.kind === "point") return !!answer.target && answer.target === question.target;
    var chosen = (answer.chosen || []).slice();
    if (question.kind !== "order") chosen.sort(function (a, b) { return a - b; });
    return chosen.length > 0 && same(chosen, question.chosen);
  }

  // score marks a try by its answers, found by the questions' ids.
  function score(quiz, answers) {
    var s = { points: 0, of: 0, percent: 0, pass: quiz.pass, criticalWrong: [], passed: false };
    quiz.questions.forEach(function (question) {
      s.of += question.points;
      if (right(question, answers[question.id])) s.points += question.points;
      else if (question.critical) s.criticalWrong.push(question.id);
    });
    if (s.of > 0) {
      s.percent = Math.floor((s.points * 100) / s.of);
      s.passed = s.points * 100 >= quiz.pass * s.of && s.criticalWrong.length === 0;
    }
    return s;
  }

  // response is a finished try as it is saved; package procedure/quiz describes
  // the format. open is {learner, try, started, answers, seconds}.
  function response(quiz, open, finished) {
    return {
      format: quiz.format, version: quiz.version, quiz: quiz.quiz, edition: quiz.edition,
      procedure: quiz.procedure, procedureEdition: quiz.procedureEdition,
      learner: open.learner, try: open.try, started: open.started, finished: finished,
      answers: arrange(quiz, open.try).map(function (place) {
        var question = quiz.questions[place.question], answer = open.answers[question.id];
        var isRight = right(question, answer);
        return Object.assign({ question: question.id, kind: question.kind }, answer, {
          right: isRight, points: isRight ? question.points : 0, seconds: open.seconds[question.id] || 0,
        });
      }),
      score: score(quiz, open.answers),
    };
  }

  scope.matchmarkQuiz = { arrange: arrange, typed: typed, right: right, score: score, response: response };
})(typeof window === "undefined" ? globalThis : window);
