import time, os, importlib, traceback, sys
from tests.browser import small_day as day
from tests.browser import test_clumsy_day as t
from tests.browser.test_clumsy_day import telephone
from django.core.management import call_command
def test_d(telephone):
    walk=telephone
    ns=dict(walk=walk, day=day, t=t, call_command=call_command, importlib=importlib)
    end=time.time()+1500
    while time.time()<end:
        if os.path.exists("/tmp/repl.in"):
            src=open("/tmp/repl.in").read(); os.remove("/tmp/repl.in")
            if src.strip()=="quit": return
            out=open("/tmp/repl.out.tmp","w"); old=sys.stdout; sys.stdout=out
            try:
                importlib.reload(day); importlib.reload(t); exec(src, ns)
            except BaseException:
                tb=traceback.format_exc(); print(tb[:2500]); print(tb[-1500:] if len(tb)>2500 else "")
            sys.stdout=old; out.close(); os.rename("/tmp/repl.out.tmp","/tmp/repl.out")
        time.sleep(0.2)
